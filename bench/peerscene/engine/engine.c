// Picks with a general-purpose physics engine, as a second opinion on ours.
//
// Usage: engine SCENE STEP [STIFFNESS DAMPING SHARE] < attempts > results
//
// STEP is in s. With STIFFNESS (N/m) and DAMPING (N s/m) every listed pair of shapes that may touch becomes such a spring and
// damper; see soften.
//
// An attempt is a line of numbers: the palm's turn (quaternion w x y z), where the palm ends up before it closes (m), the
// unit direction along which it gets there, how far it stands back at first (m), how high it lifts (m), how much cable it
// winds up (m), and how long all takes (s). The timing of the parts is that of the test's own path. A result is a line:
// the item's height at the end (m), mean grip on it (N) and tension of the cable (N) over the last 0.1 s, the largest
// distance of the palm from its path (m), and the angles of the fingers' joints (rad).
//
// To standard error goes how many processor seconds the attempts took, and how many steps they had.
//
// The palm hangs on three rails with stiff servos that are fed forward: a body that is put from place to place has no
// velocity in this engine, which falsifies friction while it lifts.
#include <math.h>
#include <mujoco/mujoco.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static const double approach = 0.4, closing = 0.5, lifting = 0.5;  // s
static const double settled = 0.1;                                 // s

typedef struct {
    double turn[4], end[3], along[3], back, lift, pull, seconds;
} attempt;

typedef struct {
    double height, grip, tension, astray;
    long steps;
} result;

// What contacts are; no share: what the scene says.
typedef struct {
    double stiffness, damping, share;
} spring;

// Where things are in the model.
typedef struct {
    int palm, carriage, item, item_geom, table_geom, rail_qpos, rail_dof, rail_motor, cable_motor;
} places;

// From 0 to 1 with neither speed nor acceleration at both ends; x[0] is the way, x[1] and x[2] its derivatives by time.
static void blend(double t, double duration, double x[3]) {
    double u = t / duration;
    x[0] = u >= 1, x[1] = x[2] = 0;
    if (u <= 0 || u >= 1) return;
    x[0] = u * u * u * (10 - 15 * u + 6 * u * u);
    x[1] = 30 * u * u * (1 - u) * (1 - u) / duration;
    x[2] = 60 * u * (1 - u) * (1 - 2 * u) / (duration * duration);
}

// The palm's place along one axis of the world at time t, with two derivatives.
static void path(const attempt *a, int axis, double t, double x[3]) {
    double go[3], up[3];
    blend(t, approach, go);
    blend(t - approach - closing, lifting, up);
    for (int i = 0; i < 3; i++) {
        x[i] = a->along[axis] * a->back * (go[i] - (i == 0)) + (axis == 2 ? a->lift * up[i] : 0);
    }
    x[0] += a->end[axis];
}

static int id(const mjModel *m, mjtObj kind, const char *name) {
    return mj_name2id(m, kind, name);
}

static places find(const mjModel *m) {
    int rail = id(m, mjOBJ_JOINT, "railx");
    return (places){
        .palm = id(m, mjOBJ_BODY, "palm"),
        .carriage = id(m, mjOBJ_BODY, "carriage"),
        .item = id(m, mjOBJ_BODY, "item"),
        .item_geom = id(m, mjOBJ_GEOM, "item"),
        .table_geom = id(m, mjOBJ_GEOM, "table"),
        .rail_qpos = m->jnt_qposadr[rail],
        .rail_dof = m->jnt_dofadr[rail],
        .rail_motor = id(m, mjOBJ_ACTUATOR, "railx"),
        .cable_motor = id(m, mjOBJ_ACTUATOR, "cable"),
    };
}

// The sum of the normal forces of the hand on the item (N).
static double grip(const mjModel *m, const mjData *d, const places *at) {
    double sum = 0;
    for (int i = 0; i < d->ncon; i++) {
        const mjContact *c = d->contact + i;
        int item = c->geom1 == at->item_geom || c->geom2 == at->item_geom;
        int table = c->geom1 == at->table_geom || c->geom2 == at->table_geom;
        if (!item || table) continue;
        mjtNum force[6];
        mj_contactForce(m, d, i, force);
        sum += force[0];
    }
    return sum;
}

// Makes springs and dampers of the pairs. The engine enforces a share s of an acceleration -k r - b v, r the overlap and v
// its speed, through a softness R = (1 - s)/s A, A being the pair's inverse mass as it sees it. What it solves for,
// a + R f = -k s r - b v, is f = -K r - C v - a/R with K = k s/R, C = b/R: a spring and a damper beside an inertia 1/R, which
// a small share keeps small. A stiffness p and a damping q below zero stand for k = p/s^2 and b = q/s.
static void soften(mjModel *m, const spring *c) {
    for (int i = 0; i < m->npair; i++) {
        double inverse = 0;
        int geoms[] = {m->pair_geom1[i], m->pair_geom2[i]};
        for (int k = 0; k < 2; k++) inverse += m->body_invweight0[2 * m->geom_bodyid[geoms[k]]];
        double soft = (1 - c->share) / c->share * inverse;
        m->pair_solref[mjNREF * i] = -c->stiffness * soft * c->share;
        m->pair_solref[mjNREF * i + 1] = -c->damping * soft * c->share;
        mjtNum impedance[mjNIMP] = {c->share, c->share, 0.001, 0.5, 2};
        mju_copy(m->pair_solimp + mjNIMP * i, impedance, mjNIMP);
    }
}

static result pick(mjModel *m, mjData *d, const places *at, const attempt *a, const spring *c) {
    mju_copy4(m->body_quat + 4 * at->palm, a->turn);
    mj_resetData(m, d);
    mj_setConst(m, d);  // inertias seen by contacts hang on how the palm is turned
    if (c->share > 0) soften(m, c);
    mj_resetData(m, d);
    double x[3];
    for (int k = 0; k < 3; k++) {
        path(a, k, 0, x);
        d->qpos[at->rail_qpos + k] = x[0];
    }
    double h = m->opt.timestep, mass = m->body_subtreemass[at->carriage];
    double stiffness = m->actuator_gainprm[mjNGAIN * at->rail_motor], damping = m->dof_damping[at->rail_dof];
    long steps = lround(a->seconds / h), last = lround(settled / h);
    result r = {.steps = steps};
    for (long i = 0; i < steps; i++) {
        double t = i * h, shut[3];
        for (int k = 0; k < 3; k++) {
            path(a, k, t, x);
            r.astray = fmax(r.astray, fabs(d->qpos[at->rail_qpos + k] - x[0]));
            // What the servo would lag behind by: the carriage's damping, inertia and weight.
            d->ctrl[at->rail_motor + k] = x[0] + (damping * x[1] + mass * (x[2] - m->opt.gravity[k])) / stiffness;
        }
        blend(t - approach, closing, shut);
        d->ctrl[at->cable_motor] = a->pull * shut[0];
        mj_step(m, d);
        if (i >= steps - last) {
            r.grip += grip(m, d, at) / last;
            r.tension += d->actuator_force[at->cable_motor] / last;
        }
    }
    if (at->item >= 0) r.height = d->xpos[3 * at->item + 2];
    return r;
}

static int read_attempt(attempt *a) {
    double *to[] = {a->turn, a->turn + 1, a->turn + 2, a->turn + 3, a->end, a->end + 1, a->end + 2,
                    a->along, a->along + 1, a->along + 2, &a->back, &a->lift, &a->pull, &a->seconds};
    for (size_t i = 0; i < sizeof to / sizeof *to; i++) {
        if (scanf("%lf", to[i]) != 1) return 0;
    }
    return 1;
}

static double processor_seconds(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return t.tv_sec + 1e-9 * t.tv_nsec;
}

int main(int argc, char **argv) {
    if (argc != 3 && argc != 6) {
        fprintf(stderr, "usage: engine SCENE STEP [STIFFNESS DAMPING SHARE] < attempts > results\n");
        return 2;
    }
    char error[1000] = "";
    mjModel *m = mj_loadXML(argv[1], NULL, error, sizeof error);
    if (!m) {
        fprintf(stderr, "%s: %s\n", argv[1], error);
        return 1;
    }
    m->opt.timestep = atof(argv[2]);
    mjData *d = mj_makeData(m);
    places at = find(m);
    spring c = {0};
    if (argc == 6) c = (spring){atof(argv[3]), atof(argv[4]), atof(argv[5])};
    attempt a;
    long steps = 0;
    double start = processor_seconds();
    while (read_attempt(&a)) {
        result r = pick(m, d, &at, &a, &c);
        steps += r.steps;
        printf("%.17g %.17g %.17g %.17g", r.height, r.grip, r.tension, r.astray);
        for (int j = 0; j < m->njnt; j++) {
            if (m->jnt_type[j] == mjJNT_HINGE) printf(" %.17g", d->qpos[m->jnt_qposadr[j]]);
        }
        printf("\n");
        for (int w = 0; w < mjNWARNING; w++) {
            if (d->warning[w].number) {
                fprintf(stderr, "the engine warns: %s\n", mju_warningText(w, d->warning[w].lastinfo));
                return 1;
            }
        }
    }
    fprintf(stderr, "%.9f %ld\n", processor_seconds() - start, steps);
    mj_deleteData(d);
    mj_deleteModel(m);
    return 0;
}
