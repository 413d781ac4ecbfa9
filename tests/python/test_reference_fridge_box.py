"""The reference model's two nodes against SciPy's matrix exponential."""

import numpy as np
from reference.fridge_box import NEVER, TwoNodes, medicine_hours
from scipy.linalg import expm

N, HOURS = 40, 1.5
chance = np.random.default_rng(3)
NODES = TwoNodes(
    main_ua=chance.uniform(0.5, 2, N),
    box_ua=chance.uniform(0.05, 0.5, N),
    coupling=chance.uniform(0.2, 5, N),
    main_capacity=chance.uniform(2, 20, N),
    box_capacity=chance.uniform(0.5, 8, N),
    cooling_share=chance.uniform(0, 1, N),
)
START = {"main_c": chance.uniform(0, 12, N), "box_c": chance.uniform(-20, 5, N)}
AROUND = {
    "cabin_c": chance.uniform(5, 40, N),
    "heat_w": chance.uniform(0, 30, N),
    "cooling_w": chance.uniform(0, 150, N),
}


def system_of(i):
    """The affine system of trial i as a linear one of three."""
    n, g = NODES, NODES.coupling[i]
    main, box = n.main_capacity[i], n.box_capacity[i]
    q, s, cabin = AROUND["cooling_w"][i], n.cooling_share[i], AROUND["cabin_c"][i]
    push = [n.main_ua[i] * cabin + AROUND["heat_w"][i] - (1 - s) * q, n.box_ua[i] * cabin - s * q]
    system = np.zeros((3, 3))
    system[0] = np.array([-n.main_ua[i] - g, g, push[0]]) / main
    system[1] = np.array([g, -n.box_ua[i] - g, push[1]]) / box
    return system, np.array([START["main_c"][i], START["box_c"][i], 1])


def by_matrix(i, hours):
    system, start = system_of(i)
    return (expm(system * hours) @ start)[:2]


def track_of(i, steps):
    """The main node at even steps through HOURS."""
    system, now = system_of(i)
    step = expm(system * HOURS / steps)
    track = [now := step @ now if k else now for k in range(steps + 1)]
    return np.array(track)[:, 0]


def test_motions():
    main, box = NODES.motions(**START, **AROUND)
    for hours in (0.01, 0.3, HOURS):
        mine = np.stack([main.at(np.full(N, hours)), box.at(np.full(N, hours))], -1)
        np.testing.assert_allclose(mine, [by_matrix(i, hours) for i in range(N)], rtol=0, atol=1e-10)


def test_first_meeting_and_hours_above():
    main, _ = NODES.motions(**START, **AROUND)
    steps = 1500
    tracks = [track_of(i, steps) for i in range(N)]
    met = 0
    for level in (2.0, 5.0, 8.0):
        found = main.first_meets(np.full(N, level), np.full(N, HOURS))
        hours_above = main.hours_above(np.full(N, level), np.full(N, HOURS))
        for i, track in enumerate(tracks):
            above = track > level
            assert abs(above[:-1].mean() * HOURS - hours_above[i]) < 3 * HOURS / steps
            if above.min() == above.max():
                assert found[i] == NEVER
                continue
            met += 1
            assert abs(by_matrix(i, found[i])[0] - level) < 1e-9
            assert abs(np.flatnonzero(above != above[0])[0] * HOURS / steps - found[i]) < 2 * HOURS / steps
    assert met > 10


def test_steady_box():
    """With the cooling that holds the main node, the box rests where steady_box_c says."""
    cabin_c, main_c = AROUND["cabin_c"], START["main_c"]
    box_c = NODES.steady_box_c(main_c, cabin_c)
    need = NODES.main_ua * (cabin_c - main_c) + NODES.coupling * (box_c - main_c)
    to_box = NODES.box_ua * (cabin_c - box_c) + NODES.coupling * (main_c - box_c)
    np.testing.assert_allclose(NODES.cooling_share * need, (1 - NODES.cooling_share) * to_box, rtol=1e-9, atol=1e-9)


def test_medicine_hours():
    """A node at 3 degC for two hours: places at 1 and 9 degC are outside throughout, none is frozen."""

    def above(level):
        return np.where(level < 3, 2.0, 0.0)

    cold, warm, frozen = medicine_hours(above, 2.0, -2.0, 6.0)
    assert (cold, warm, frozen) == (2, 2, 0)
    assert medicine_hours(above, 2.0, -4.0, 1.0) == (2, 0, 2)
