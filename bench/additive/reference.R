# Everything that was varied, with R's mgcv: the same seven terms as the model beside it.
# Usage: Rscript reference.R gam|bam TRIALS.csv NEW.csv OUT.csv
#   gam  restricted likelihood;  bam  its fast variant on discretised covariates
# OUT gets mean and standard deviation of the log-odds of every row of NEW.
suppressMessages(library(mgcv))
argument <- commandArgs(TRUE)
features <- function(name) {
  d <- read.csv(name)
  d <- transform(d,
    r11 = 1 - 2 * (qy^2 + qz^2), r12 = 2 * (qx * qy - qw * qz), r13 = 2 * (qx * qz + qw * qy),
    r21 = 2 * (qx * qy + qw * qz), r22 = 1 - 2 * (qx^2 + qz^2), r23 = 2 * (qy * qz - qw * qx),
    r31 = 2 * (qx * qz - qw * qy), r32 = 2 * (qy * qz + qw * qx), r33 = 1 - 2 * (qx^2 + qy^2))
  for (f in c("strategy", "hand", "block")) d[[f]] <- factor(d[[f]])
  d
}
d <- features(argument[2])
# Matern 5/2 processes over the entries of the rotation matrix, set up from 400 orientations: from all of them it takes up to
# seven times as long and 1.6 GB for the same score. id gives the strategies' deviations one amplitude.
few <- list(max.knots = 400)
model <- held ~
  s(r11, r12, r13, r21, r22, r23, r31, r32, r33, bs = "gp", k = 120, m = c(-4, 1), xt = few) +
  s(r11, r12, r13, r21, r22, r23, r31, r32, r33, by = strategy, bs = "gp", k = 80, m = c(-4, 1), xt = few, id = 1) +
  s(closing, k = 17) + s(offset_x_mm, offset_y_mm, k = 56) +
  s(strategy, bs = "re") + s(hand, bs = "re") + s(block, bs = "re")
start <- proc.time()[["elapsed"]]
m <- if (argument[1] == "gam") gam(model, family = binomial, data = d, method = "REML") else
  bam(model, family = binomial, data = d, method = "fREML", discrete = TRUE)
seconds <- proc.time()[["elapsed"]] - start
p <- predict(m, features(argument[3]), se.fit = TRUE, discrete = FALSE)
cat(sprintf("%.2f s, %d columns", seconds, length(coef(m))))
write.csv(data.frame(mean = p$fit, sd = p$se.fit), argument[4], row.names = FALSE)
