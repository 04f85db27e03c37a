"""Reference problem P1 by a general finite-element library (scikit-fem), for
the ratio that the benchmark `solved` prints.

Half of the plate in trilinear hexahedra on the cells of the benchmark: an even
strip at the arc, wider cells beyond. Enthalpy lumped on the nodes,
Crank-Nicolson, Newton with the conductivity of the last iterate and conjugate
gradients with the diagonal, the update taken in enthalpy so that a step does
not jump over a spike of the heat capacity.
It runs the first steps of the weld, each of 0.1 s, and prints what they took.

Arguments: cell in mm, number of steps.
"""

import math
import sys
import time

import numpy as np
import scipy.sparse as sparse
import scipy.sparse.linalg as linalg
import skfem
from skfem.helpers import dot, grad

# The problem, as written in checks/heat/p1_reference.csv; SI units and C.
LENGTH_M, HALF_WIDTH_M, THICKNESS_M = 0.2, 0.075, 12.7e-3
FINE_HALF_WIDTH_M = 12e-3
POWER_W, TRAVEL_M_S, FROM_X_M = 1872.0, 3.5e-3, 0.02
SOURCE_HALF_WIDTH_M, SOURCE_DEPTH_M, FRONT_M, REAR_M = 4e-3, 3e-3, 4e-3, 8e-3
FRONT_SHARE = 0.667
START_C, CONVECTION_W_M2_K, EMISSIVITY = 20.0, 15.0, 0.7
STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K = 5.670374419e-8, 273.15
DENSITY_KG_M3, LATENT_J_KG, SOLIDUS_C, LIQUIDUS_C = 7850.0, 270e3, 1465.0, 1525.0
STEP_S = 0.1
# Widest cell beyond the strip, in fine cells, and growth: as in the benchmark.
WIDEST, GROWTH = 10.0, 1.2
# Newton ends when what is left is this share of the arc's power; halving the
# step and a tenth of this move the points by less than 0.05 K.
LEFT_SHARE, NEWTON_MAX = 2e-3, 40


def heat_capacity_j_kg_k(t):
    """Specific heat of carbon steel (EN 1993-1-2, 3.4.1.2), latent heat spread over the melting range."""
    cubic = 425.0 + 0.773 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3
    rise = 666.0 + 13002.0 / (738.0 - np.minimum(t, 735.0))
    fall = 545.0 + 17820.0 / (np.maximum(t, 735.0) - 731.0)
    cp = np.select([t < 600.0, t < 735.0, t < 900.0], [cubic, rise, fall], 650.0)
    melting = (t >= SOLIDUS_C) & (t < LIQUIDUS_C)
    return cp + np.where(melting, LATENT_J_KG / (LIQUIDUS_C - SOLIDUS_C), 0.0)


def conductivity_w_m_k(t):
    """Conductivity (EN 1993-1-2, 3.4.1.3), raised in the liquid."""
    hot = np.interp(t, [SOLIDUS_C, LIQUIDUS_C], [27.3, 60.0])
    return np.where(t < 800.0, 54.0 - 3.33e-2 * t, hot)


TABLE_C = np.arange(-100.0, 6000.0, 0.05)
_MIDDLE_C = 0.5 * (TABLE_C[1:] + TABLE_C[:-1])
TABLE_J_M3 = np.concatenate(([0.0], np.cumsum(DENSITY_KG_M3 * 0.05 * heat_capacity_j_kg_k(_MIDDLE_C))))


def enthalpy_j_m3(t):
    return np.interp(t, TABLE_C, TABLE_J_M3)


def temperature_c(h):
    return np.interp(h, TABLE_J_M3, TABLE_C)


def loss_w_m2(t):
    hot, air = (t + ZERO_CELSIUS_K) ** 4, (START_C + ZERO_CELSIUS_K) ** 4
    return CONVECTION_W_M2_K * (t - START_C) + EMISSIVITY * STEFAN_BOLTZMANN_W_M2_K4 * (hot - air)


def loss_slope_w_m2_k(t):
    return CONVECTION_W_M2_K + 4.0 * EMISSIVITY * STEFAN_BOLTZMANN_W_M2_K4 * (t + ZERO_CELSIUS_K) ** 3


def edges_across_m(cell_m):
    """Even cells to the edge of the strip, then growing ones that end at the plate's edge."""
    edges = list(np.arange(round(FINE_HALF_WIDTH_M / cell_m) + 1) * cell_m)
    sizes, left = [], HALF_WIDTH_M - edges[-1]
    size = cell_m
    while sum(sizes) < left:
        size = min(size * GROWTH, WIDEST * cell_m)
        sizes.append(size)
    scale = left / sum(sizes)
    return np.concatenate((edges, edges[-1] + scale * np.cumsum(sizes)))


@skfem.BilinearForm
def stiffness(u, v, w):
    return conductivity_w_m_k(w["temperature"]) * dot(grad(u), grad(v))


@skfem.LinearForm
def arc(v, w):
    along, y, z = w.x[0] - w["at_m"], w.x[1], w.x[2]
    ahead = along >= 0.0
    length = np.where(ahead, FRONT_M, REAR_M)
    share = np.where(ahead, FRONT_SHARE, 2.0 - FRONT_SHARE)
    size = length * SOURCE_HALF_WIDTH_M * SOURCE_DEPTH_M * math.pi**1.5
    shape = -3.0 * ((along / length) ** 2 + (y / SOURCE_HALF_WIDTH_M) ** 2 + (z / SOURCE_DEPTH_M) ** 2)
    return 6.0 * math.sqrt(3.0) * share * POWER_W / size * np.exp(shape) * v


@skfem.LinearForm
def one(v, _):
    return 1.0 * v


class Plate:
    def __init__(self, cell_m):
        x = np.linspace(0.0, LENGTH_M, round(LENGTH_M / cell_m) + 1)
        z = np.linspace(0.0, THICKNESS_M, max(1, math.ceil(THICKNESS_M / cell_m - 1e-6)) + 1)
        mesh = skfem.MeshHex.init_tensor(x, edges_across_m(cell_m), z)
        self.basis = skfem.Basis(mesh, skfem.ElementHex1(), intorder=2)
        # The plane of symmetry loses nothing.
        faces = mesh.facets_satisfying(lambda p: p[1] > 1e-9, boundaries_only=True)
        self.area_m2 = skfem.asm(one, skfem.FacetBasis(mesh, skfem.ElementHex1(), facets=faces))
        self.volume_m3 = skfem.asm(one, self.basis)
        self.newton = 0

    def flow(self, t):
        """Matrix of conduction, and heat that reaches each node without the arc, W."""
        matrix = skfem.asm(stiffness, self.basis, temperature=self.basis.interpolate(t))
        return matrix, -(matrix @ t) - self.area_m2 * loss_w_m2(t)

    def step(self, t, time_s):
        heat_w = skfem.asm(arc, self.basis, at_m=FROM_X_M + TRAVEL_M_S * (time_s + 0.5 * STEP_S))
        old = enthalpy_j_m3(t)
        start_w = self.flow(t)[1]
        now = t.copy()
        for _ in range(NEWTON_MAX):
            matrix, flow_w = self.flow(now)
            h = enthalpy_j_m3(now)
            left_w = heat_w + 0.5 * (start_w + flow_w) - self.volume_m3 * (h - old) / STEP_S
            if np.abs(left_w).sum() < LEFT_SHARE * POWER_W:
                return now
            capacity = DENSITY_KG_M3 * heat_capacity_j_kg_k(now)
            own = self.volume_m3 * capacity / STEP_S + 0.5 * self.area_m2 * loss_slope_w_m2_k(now)
            system = sparse.csr_matrix(0.5 * matrix + sparse.diags(own))
            divide = sparse.diags(1.0 / system.diagonal())
            change, failed = linalg.cg(system, left_w, rtol=1e-6, M=divide)
            if failed:
                raise SystemExit("conjugate gradients did not converge")
            now = temperature_c(h + capacity * change)
            self.newton += 1
        raise SystemExit("Newton did not converge")


def main():
    cell_m, steps = 1e-3 * float(sys.argv[1]), int(sys.argv[2])
    plate = Plate(cell_m)
    t = np.full(plate.basis.N, START_C)
    began, cpu = time.perf_counter(), time.process_time()
    for n in range(steps):
        t = plate.step(t, n * STEP_S)
    wall_s, cpu_s = time.perf_counter() - began, time.process_time() - cpu
    print(f"library scikit-fem {skfem.__version__}")
    for name, value in [
        ("nodes", plate.basis.N),
        ("steps", steps),
        ("newton", plate.newton),
        ("wall_s", round(wall_s, 3)),
        ("cpu_s", round(cpu_s, 3)),
        ("hottest_c", round(float(t.max()), 1)),
    ]:
        print(name, value)


main()
