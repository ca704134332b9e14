# Success over hand orientations with R's mgcv, for comparison.
# Usage: Rscript reference.R METHOD TRIALS.csv GRID.csv OUT.csv [name=number ...]
#   gp      low-rank Matern 5/2 Gaussian process over the nine entries of the rotation matrix, REML;
#           k = rank, rho = range (0: the best of 0.6, 1, 1.6 and 2.5 by REML)
#   tensor  spline on the sphere of approach directions times cyclic spline of heading, REML; kd, kr = ranks
# TRIALS has qw,qx,qy,qz,outcome ("held" is success), GRID qw,qx,qy,qz; OUT gets p,p_low,p_high (5 % and 95 %).
suppressMessages(library(mgcv))
argument <- commandArgs(TRUE)
setting <- list(k = 250, rho = 1, kd = 50, kr = 10)
for (pair in strsplit(argument[-(1:4)], "=")) setting[[pair[1]]] <- as.numeric(pair[2])

features <- function(q) with(q, {
  d <- data.frame(
    r11 = 1 - 2 * (qy^2 + qz^2), r12 = 2 * (qx * qy - qw * qz), r13 = 2 * (qx * qz + qw * qy),
    r21 = 2 * (qx * qy + qw * qz), r22 = 1 - 2 * (qx^2 + qz^2), r23 = 2 * (qy * qz - qw * qx),
    r31 = 2 * (qx * qz - qw * qy), r32 = 2 * (qy * qz + qw * qx), r33 = 1 - 2 * (qx^2 + qy^2))
  # Straight down is the spline's pole; heading = azimuth + roll has no seam there.
  d$lat <- 90 - acos(pmin(1, pmax(-1, d$r33))) * 180 / pi
  d$lon <- atan2(-d$r23, -d$r13) * 180 / pi
  d$heading <- (2 * atan2(qz, qw)) %% (2 * pi)
  d
})
trials <- read.csv(argument[2])
d <- features(trials)
d$y <- as.integer(trials$outcome == "held")
g <- features(read.csv(argument[3]))

fit_gp <- function(rho)
  gam(y ~ s(r11, r12, r13, r21, r22, r23, r31, r32, r33, bs = "gp", k = setting$k, m = c(-4, rho)),
      family = binomial, data = d, method = "REML")
if (argument[1] == "gp") {
  best <- NULL
  for (rho in if (setting$rho > 0) setting$rho else c(0.6, 1, 1.6, 2.5)) {
    m <- fit_gp(rho)
    if (is.null(best) || m$gcv.ubre < best$gcv.ubre) best <- m
  }
} else {
  best <- gam(y ~ te(lat, lon, heading, d = c(2, 1), bs = c("sos", "cc"), k = c(setting$kd, setting$kr)),
              family = binomial, data = d, knots = list(heading = c(0, 2 * pi)), method = "REML")
}
p <- predict(best, g, se.fit = TRUE)
z <- qnorm(0.95)
write.csv(data.frame(p = plogis(p$fit), p_low = plogis(p$fit - z * p$se.fit), p_high = plogis(p$fit + z * p$se.fit)),
          argument[4], row.names = FALSE, quote = FALSE)
