# Makes align.csv: what scipy.spatial.transform.Rotation.align_vectors says of
# random point sets. One line a case: n, then n points of the first frame, n of the
# second, the nine elements of the rotation by rows, the rms residual in mm.
import numpy as np
import scipy
from scipy.spatial.transform import Rotation

rng = np.random.default_rng(20)
with open("align.csv", "w") as out:
    out.write(f"# scipy {scipy.__version__}, numpy {np.__version__}; see align.py\n")
    for case in range(40):
        n = int(rng.integers(3, 12))
        a = rng.uniform(-300, 300, (n, 3))
        if case % 3 == 0:
            a[:, 2] = 0  # on a flange
        turn = Rotation.random(random_state=case)
        if case % 7 == 0:  # half turns and next to nothing
            turn = Rotation.from_rotvec(np.array([0, 1, 0]) * (np.pi if case % 2 else 1e-6))
        b = turn.apply(a) + rng.uniform(-900, 900, 3) + rng.normal(0, [0, 0.5, 20][case % 3], (n, 3))
        r, rssd = Rotation.align_vectors(b - b.mean(0), a - a.mean(0))
        # scipy sums the weights' squares one way or another by version: the residual
        # is taken from the points.
        left = (b - b.mean(0)) - r.apply(a - a.mean(0))
        rms = np.sqrt((left**2).sum() / n)
        row = [n, *a.ravel(), *b.ravel(), *r.as_matrix().ravel(), rms]
        out.write(",".join(repr(float(x)) for x in row) + "\n")
