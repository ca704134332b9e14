# The reference of this bench: scipy and scikit-learn on invented taps. Writes clips and splits for the program to do the same with.
# usage: reference.py FOLDER CLIPS_A_PLACE NESTED_CLIPS
#
# A tap: a clamped-free finger segment struck at one of six places (scatter 2 % of the length) sounds in eight damped bending
# modes, first at 180 Hz, each as strong as its shape at the struck place times its shape at the pick-up; loudness, contact
# time, tuning and damping scatter; noise is a share of the clip's root mean square. 50 ms at 48 kHz.
import json, sys, time
import numpy as np
from scipy.signal import stft
from sklearn.decomposition import PCA
from sklearn.discriminant_analysis import LinearDiscriminantAnalysis as LDA
from sklearn.model_selection import GridSearchCV, StratifiedKFold, cross_val_predict, cross_val_score
from sklearn.pipeline import Pipeline, make_pipeline
from sklearn.preprocessing import StandardScaler
from sklearn.svm import SVC

RATE, N = 48000, 2400
BETA = np.array([1.875104069, 4.694091133, 7.854757438, 10.995540735, 14.137168391, 17.278759532, 20.420352251, 23.561944902])


def mode_shape(s):
    c = (np.cosh(BETA) + np.cos(BETA)) / (np.sinh(BETA) + np.sin(BETA))
    x = BETA * s[:, None]
    return (1 - c) / 2 * np.exp(x) + (1 + c) / 2 * np.exp(-x) - np.cos(x) + c * np.sin(x)


def taps(a_place, noise, seed=20250118):
    rng = np.random.default_rng(seed)
    places = np.array([0.25, 0.40, 0.55, 0.70, 0.85, 1.00])
    label = np.repeat(np.arange(6), a_place)
    n = len(label)
    struck = np.clip(places[label] + 0.02 * rng.standard_normal(n), 0.05, 1.0)
    t = np.arange(N) / RATE
    tuned = 180.0 * (1 + 0.01 * rng.standard_normal(n))
    f = tuned[:, None] * (BETA / BETA[0]) ** 2 * (1 + 0.003 * rng.standard_normal((n, 8)))
    zeta = 0.01 * np.exp(0.2 * rng.standard_normal((n, 8))) * (1 + 0.15 * np.arange(8))
    contact = 1.5e-4 * 2 ** rng.uniform(-1, 1, n)
    loud = 2 ** rng.uniform(-1, 1, n)
    size = loud[:, None] * mode_shape(struck) * mode_shape(np.array([0.07])) / (1 + (2 * f * contact[:, None]) ** 4) * f
    out = np.empty((n, N), np.float32)
    for i in range(n):
        ok = f[i] < 0.45 * RATE
        w = 2 * np.pi * f[i, ok, None]
        clip = (size[i, ok, None] * np.exp(-zeta[i, ok, None] * w * t) * np.sin(w * t)).sum(0)
        out[i] = clip + noise * clip.std() * rng.standard_normal(N)
    return out / np.abs(out).max(), label


def triangles():
    mel = lambda f: 2595 * np.log10(1 + f / 700)
    e = 700 * (10 ** (np.linspace(mel(50), mel(20000), 42) / 2595) - 1)
    f = np.fft.rfftfreq(512, 1 / RATE)
    return np.maximum(0, np.minimum((f - e[:-2, None]) / (e[1:-1] - e[:-2])[:, None], (e[2:, None] - f) / (e[2:] - e[1:-1])[:, None]))


BANK = triangles()


def features(clips):
    z = stft(clips, RATE, nperseg=512, noverlap=256, boundary=None, padded=False, axis=-1)[2]
    p = np.abs(z) ** 2
    m = np.log(BANK @ p + 1e-10 * p.max(axis=(1, 2), keepdims=True))
    return (m - m.mean(axis=(1, 2), keepdims=True)).reshape(len(clips), -1)


def seconds(f, runs):
    took = []
    for _ in range(runs):
        start = time.process_time()
        f()
        took.append(time.process_time() - start)
    return float(np.median(took))


def main():
    folder, a_place, nested = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    five = StratifiedKFold(5, shuffle=True, random_state=0)
    out = {"runs": []}
    for noise in (0.01, 0.05, 0.2):
        clips, label = taps(a_place, noise)
        clips.tofile(f"{folder}/clips-{noise}.f32")
        x = features(clips)
        run = {"noise": noise, "label": label.tolist(), "folds": [held.tolist() for _, held in five.split(x, label)]}
        for name, m in (("lda", LDA(solver="lsqr", shrinkage="auto")), ("pca+lda", make_pipeline(PCA(20, random_state=0), LDA())),
                        ("exact pca+lda", make_pipeline(PCA(20, svd_solver="full"), LDA())),
                        ("svm", make_pipeline(StandardScaler(), SVC(C=10)))):
            run[name] = float(cross_val_score(m, x, label, cv=five).mean())
        if noise == 0.05:
            m = LDA(solver="lsqr", shrinkage="auto").fit(x, label)
            out["one_s"] = seconds(lambda: [m.predict(features(clips[i:i + 1])) for i in range(300)], 5) / 300
            out["bulk_s"] = seconds(lambda: m.predict(features(clips)), 5) / len(clips)
        out["runs"].append(run)
    if nested:
        clips, label = taps(nested // 6, 0.05, seed=7)
        clips.tofile(f"{folder}/nested.f32")
        x = features(clips)
        search = GridSearchCV(Pipeline([("front", "passthrough"), ("m", LDA())]), [
            {"m": [LDA(solver="lsqr", shrinkage="auto")]}, {"front": [StandardScaler()], "m": [SVC(C=10)]}], cv=five)
        start = time.perf_counter()
        told = cross_val_predict(search, x, label, cv=five, n_jobs=2)
        out["nested"] = {"s": time.perf_counter() - start, "right": float((told == label).mean()), "label": label.tolist(),
                         "folds": [held.tolist() for _, held in five.split(x, label)]}
    json.dump(out, sys.stdout)


main()
