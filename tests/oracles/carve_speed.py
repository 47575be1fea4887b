"""The scheme of the height-field solver in NumPy and in Numba: cell updates per second.

Run by hand:  python carve_speed.py
The numbers stand in docs/VALIDATION.md beside those of `cargo bench -p carve --bench height_field`.

Same equation, same differences (fitted variable, van Leer's limiter, half a step ahead in time), same openings
(strokes of 3.2 mm, 0.4 mm apart, cells of 0.1 mm, edges half-way between centres), single precision. Every cell of the
grid is computed or passed over, and counted. After both have run, their depths are compared with each other and with
the closed form in the middle of a stroke; both start from nothing, which the solver does not.
"""

import time

import numpy as np
from numba import njit, prange

K = np.float32(7.0 / 3.0)
SIDE, CELL, DOSE = 2048, 0.1, 3.0
TINY = np.float32(1e-20)


def opening():
    x = (np.arange(SIDE) + 0.5) * CELL
    return np.broadcast_to(np.mod(x, 3.6) < 3.2, (SIDE, SIDE)).copy()


def steps():
    k = float(K)
    fastest = k / np.sqrt(k + 1) * (1 + 1 / (k + 1)) ** (-0.5 * k - 1)
    return int(np.ceil(DOSE / CELL * np.sqrt(2) * fastest / 0.9))


def harmonic(a, b):
    product = a * b
    total = np.where(product > 0, a + b, np.float32(1))
    return 2 * np.maximum(product, 0) / total


def numpy_upwind(own, a, b, a_after, b_after):
    near = np.minimum(a, b)
    far = np.where(a == b, np.minimum(a_after, b_after), np.where(a < b, a_after, b_after))
    rise = own - near
    bend = harmonic(a - own + (b - own), far - near + rise)
    return np.maximum(0, np.minimum(rise + 0.5 * bend, rise + rise)), bend


def numpy_step(z, mask, dose):
    y = z * np.maximum(z, TINY) ** (1 / K)
    wide, open_ = np.pad(y, 2), np.pad(mask, 2)
    n = SIDE

    def at(dx, dy):
        return wide[2 + dy : 2 + dy + n, 2 + dx : 2 + dx + n], open_[2 + dy : 2 + dy + n, 2 + dx : 2 + dx + n]

    def pair(dx, dy):
        (near, near_open), (far, far_open) = at(dx, dy), at(2 * dx, 2 * dy)
        near_value = np.where(near_open, near, -y)
        far_value = np.where(near_open, np.where(far_open, far, -near), 2 * near_value - y)
        return near_value, far_value

    (a, aa), (b, bb) = pair(-1, 0), pair(1, 0)
    p, xx = numpy_upwind(y, a, b, aa, bb)
    (a, aa), (b, bb) = pair(0, -1), pair(0, 1)
    q, yy = numpy_upwind(y, a, b, aa, bb)
    square = p * p + q * q
    mixed = np.sqrt(np.maximum(0, xx * yy))
    xy = np.where(xx < 0, -mixed, mixed)
    bend = (p * p * xx + 2 * p * q * xy + q * q * yy) / np.maximum(square, TINY)
    turned = K / (K + 1) * z / np.maximum(y, TINY)
    slope = square * turned * turned
    share = (1 + slope) ** (-K / 2)
    front = K * share / (1 + slope)
    bend = turned * bend - slope / (K * np.maximum(z, TINY))
    later = share + 0.5 * dose * front * front * slope * bend
    return z + np.where(mask, dose * np.clip(later, 0, 1), np.float32(0))


@njit(fastmath=True, inline="always")
def upwind(own, a, b, a_after, b_after):
    near = min(a, b)
    far = min(a_after, b_after) if a == b else (a_after if a < b else b_after)
    rise = own - near
    here, there = a - own + (b - own), far - near + rise
    product = here * there
    bend = np.float32(2) * product / (here + there) if product > 0 else np.float32(0)
    return max(np.float32(0), min(rise + np.float32(0.5) * bend, rise + rise)), bend


@njit(fastmath=True, inline="always")
def look(y, mask, row, column, drow, dcolumn, own):
    r, c = row + drow, column + dcolumn
    if not mask[r, c]:
        return -own, np.float32(-3) * own
    near = y[r, c]
    r, c = r + drow, c + dcolumn
    return near, y[r, c] if mask[r, c] else -near


@njit(parallel=True, fastmath=True)
def numba_step(z, y, mask, dose, z_next, y_next):
    half, one = np.float32(0.5), np.float32(1)
    for row in prange(2, z.shape[0] - 2):
        for column in range(2, z.shape[1] - 2):
            if not mask[row, column]:
                continue
            own, deep = y[row, column], z[row, column]
            a, aa = look(y, mask, row, column, 0, -1, own)
            b, bb = look(y, mask, row, column, 0, 1, own)
            p, xx = upwind(own, a, b, aa, bb)
            a, aa = look(y, mask, row, column, -1, 0, own)
            b, bb = look(y, mask, row, column, 1, 0, own)
            q, yy = upwind(own, a, b, aa, bb)
            square = p * p + q * q
            mixed = np.sqrt(max(np.float32(0), xx * yy))
            xy = -mixed if xx < 0 else mixed
            bend = (p * p * xx + np.float32(2) * p * q * xy + q * q * yy) / max(square, TINY)
            turned = K / (K + one) * deep / max(own, TINY)
            slope = square * turned * turned
            share = (one + slope) ** (-half * K)
            front = K * share / (one + slope)
            bend = turned * bend - slope / (K * max(deep, TINY))
            later = share + half * dose * front * front * slope * bend
            deeper = deep + dose * min(one, max(np.float32(0), later))
            z_next[row, column] = deeper
            y_next[row, column] = deeper * deeper ** (one / K)


def timed_numpy(mask, count, dose):
    z = np.zeros((SIDE, SIDE), np.float32)
    start = time.perf_counter()
    for _ in range(count):
        z = numpy_step(z, mask, dose)
    return z, time.perf_counter() - start


def timed_numba(mask, count, dose):
    wide = np.pad(mask, 2)
    z, y = np.zeros_like(wide, np.float32), np.zeros_like(wide, np.float32)
    z_next, y_next = z.copy(), y.copy()
    numba_step(z, y, wide, np.float32(0), z_next, y_next)  # compiled here
    start = time.perf_counter()
    for _ in range(count):
        numba_step(z, y, wide, dose, z_next, y_next)
        z, z_next, y, y_next = z_next, z, y_next, y
    return z[2:-2, 2:-2], time.perf_counter() - start


def main():
    mask, count = opening(), steps()
    dose = np.float32(DOSE / CELL / count)
    slow, slow_seconds = timed_numpy(mask, count, dose)
    fast, fast_seconds = timed_numba(mask, count, dose)
    for name, seconds in (("NumPy", slow_seconds), ("Numba, all cores", fast_seconds)):
        print(f"{name}: {seconds:.2f} s, {SIDE * SIDE * count / seconds / 1e6:.1f} M cell updates/s")
    middle = slice(SIDE // 2, SIDE // 2 + 1)
    print(f"largest difference of the two: {np.abs(slow - fast).max() * CELL:.2e} mm")
    print(f"deepest: {slow[middle].max() * CELL:.4f} mm; closed form half a cell from the middle 2.890 mm")


if __name__ == "__main__":
    main()
