"""Balance of the 12 V bus: terminals, distribution behind the shared cable, fridge behind its branch. All arrays
(trials,).

Chargers hold their set voltage where they can give all that is then asked for; else Kirchhoff at the terminals decides.
Solved by safeguarded Newton until nothing moves.
"""

from dataclasses import dataclass, replace

import numpy as np

LEAST_SLOPE = (
    0.05  # of the balance over the volts: where it is less, a compressor on a weak cable rules, and no root lies
)
CURRENT_LIMIT_V = 8.5  # below it electronics limit their current instead of holding their power


@dataclass
class Bus:
    """What is connected during a segment."""

    source_v: np.ndarray  # of the battery, behind its resistance
    ohm_out: np.ndarray
    ohm_in: np.ndarray
    shared_ohm: np.ndarray
    branch_ohm: np.ndarray
    distribution_a: np.ndarray  # of the loads there
    terminal_a: np.ndarray
    fridge_w: np.ndarray
    solar_w: np.ndarray  # of trackers
    solar_a: np.ndarray  # of clamped modules
    dc_dc_a: np.ndarray
    mains_a: np.ndarray
    set_v: np.ndarray
    acceptance_a: np.ndarray
    fall_ohm: np.ndarray | float  # of a battery above set_v: volts over the current with which it comes down to it

    def fridge_a(self, terminal_v):
        """Constant power at its terminals behind both cables: v i - loop i^2 = power."""
        loop = self.shared_ohm + self.branch_ohm
        open_v = terminal_v - self.shared_ohm * self.distribution_a
        most = self.fridge_w / CURRENT_LIMIT_V
        root = np.sqrt(np.maximum(open_v**2 - 4 * loop * self.fridge_w, 1e-12))
        return np.where(open_v - loop * most < CURRENT_LIMIT_V, most, 2 * self.fridge_w / np.maximum(open_v + root, 1))

    def load_a(self, terminal_v):
        return self.distribution_a + self.terminal_a + self.fridge_a(terminal_v)

    def sun_a(self, terminal_v):
        return self.solar_w / np.maximum(terminal_v, CURRENT_LIMIT_V) + self.solar_a

    def supply_a(self, terminal_v):
        return self.sun_a(terminal_v) + self.dc_dc_a + self.mains_a

    def accepted_a(self):
        """At the chargers' voltage; negative where the battery is above it and gives."""
        gap = self.set_v - self.source_v
        falls = np.where(self.set_v > 0, np.minimum(gap, 0) / self.fall_ohm, 0)
        return np.minimum(self.acceptance_a, np.maximum(gap, 0) / self.ohm_in) + falls

    def with_sources_off(self, where):
        """The same bus with its charge controllers off there."""
        names = "solar_w", "solar_a", "dc_dc_a", "mains_a"
        return replace(self, **{f: np.where(where, 0, getattr(self, f)) for f in names})

    def rising(self, terminal_v, ohm):
        """Over the terminals' voltage: what the battery's voltage behind its resistance lacks, as a function and
        slope."""
        loop = self.shared_ohm + self.branch_ohm
        amps = self.fridge_a(terminal_v)
        # d(power)/dv = 0 along v - loop i - power/i, and nothing where the current is limited.
        limited = amps >= self.fridge_w / CURRENT_LIMIT_V * (1 - 1e-12)
        own_v = np.maximum(terminal_v - self.shared_ohm * self.distribution_a - 2 * loop * amps, 1)
        slope = np.where(limited, 0, -amps / own_v)
        sun_slope = np.where(terminal_v > CURRENT_LIMIT_V, -self.solar_w / terminal_v**2, 0)
        net = self.distribution_a + self.terminal_a + amps - self.supply_a(terminal_v)
        return terminal_v - self.source_v + ohm * net, 1 + ohm * (slope - sun_slope)


@dataclass
class Flow:
    """What flows. Sources: as taken; `over_v`: of a battery held at the chargers' voltage, beyond its resistance."""

    terminal_v: np.ndarray
    distribution_v: np.ndarray
    fridge_v: np.ndarray
    battery_a: np.ndarray
    fridge_a: np.ndarray
    solar_a: np.ndarray
    dc_dc_a: np.ndarray
    mains_a: np.ndarray
    ohm: np.ndarray
    over_v: np.ndarray
    held: np.ndarray
    spare_a: np.ndarray | float = np.inf  # of the supply at the chargers' voltage, over all that is asked for


def newton(bus, ohm, highest_v, turns=200):
    """The first root below `highest_v`, or below the battery's own voltage where that is infinite."""
    v = np.where(np.isfinite(highest_v), highest_v, bus.source_v)
    for _ in range(turns):
        miss, slope = bus.rising(v, ohm)
        step = miss / np.maximum(slope, LEAST_SLOPE)
        v = v - step
        if np.all(np.abs(step) < 1e-10):  # the next would be of rounding
            break
    return np.maximum(v, 0)  # more than a battery can give brings it down to 0 V


def flow(bus, terminal_v, held, ohm, taken, over=None):
    """Everything that follows from the terminals' voltage; taken: solar, drive and mains currents."""
    fridge_a = bus.fridge_a(terminal_v)
    battery_a = bus.distribution_a + bus.terminal_a + fridge_a
    for amps in taken:  # one by one, so that nothing is left where they cover the loads
        battery_a = battery_a - amps
    over = held if over is None else over
    ohm = np.where(over, np.where(bus.accepted_a() < 0, bus.ohm_out, bus.ohm_in), ohm)
    distribution_v = terminal_v - bus.shared_ohm * (bus.distribution_a + fridge_a)
    return Flow(
        terminal_v=terminal_v,
        distribution_v=distribution_v,
        fridge_v=distribution_v - bus.branch_ohm * fridge_a,
        battery_a=battery_a,
        fridge_a=fridge_a,
        solar_a=taken[0],
        dc_dc_a=taken[1],
        mains_a=taken[2],
        ohm=ohm,
        over_v=np.where(over | (terminal_v <= 0), terminal_v - bus.source_v + ohm * battery_a, 0),
        held=over,
    )


def take(offers, need, held):
    """Sun first, then the drive, then the mains, until the need is met; all of it where the voltage is not held."""
    taken = []
    for offer in offers:
        taken.append(np.where(held, np.minimum(offer, need), offer))
        need = need - taken[-1]
    return taken


def balance(bus):
    accepted = bus.accepted_a()
    held_v = np.where(accepted < 0, bus.set_v, np.maximum(bus.set_v, bus.source_v))
    need = bus.load_a(held_v) + accepted
    spare_a = bus.supply_a(held_v) - need
    held = (spare_a >= 0) & (bus.supply_a(held_v) > 0) & (need >= 0)
    # Chargers lift the terminals no higher than their voltage.
    highest_v = np.where((bus.supply_a(held_v) > 0) & (accepted >= 0) & (need >= 0), held_v, np.inf)
    bus = bus.with_sources_off(need < 0)
    charges = bus.supply_a(bus.source_v) > bus.load_a(bus.source_v)
    ohm = np.where(charges, bus.ohm_in, bus.ohm_out)
    v = np.where(held, held_v, newton(bus, ohm, highest_v))
    taken = take([bus.sun_a(v), bus.dc_dc_a, bus.mains_a], bus.load_a(v) + accepted, held)
    return replace(flow(bus, v, held, ohm, taken), spare_a=spare_a)


@dataclass
class Cable:
    """A plain cable to the alternator: `volts` 0 where the relay is open; `most_a`: fuse."""

    volts: np.ndarray
    ohm: np.ndarray
    most_a: np.ndarray

    def amps(self, terminal_v):
        return np.clip((self.volts - terminal_v) / self.ohm, 0, self.most_a)


def root_of(falling, low, high, turns=80):
    """Where a falling function of (trials,) voltages crosses zero: false position, the Illinois way. An end
    where it does not cross."""
    above, below = falling(low), falling(high)
    crosses = (above > 0) & (below < 0)
    end = np.where(below < 0, low, high)
    side = np.zeros(len(low))
    v = low
    for _ in range(turns):
        apart = np.where(crosses, below - above, -1)
        before, v = v, np.where(crosses, (low * below - high * above) / apart, end)
        now = falling(v)
        rises = now > 0  # the root lies above v
        # An end that stays for a second time counts half.
        below = np.where(rises, np.where(side == 1, below / 2, below), now)
        above = np.where(rises, now, np.where(side == -1, above / 2, above))
        low, high = np.where(rises, v, low), np.where(rises, high, v)
        side = np.where(rises, 1, -1)
        if np.all((np.abs(v - before) < 4e-15) | (np.abs(now) < 1e-12) | ~crosses):
            break
    return v


def balance_with_cable(bus, cable):
    """Supply falls and demand rises with the terminals' voltage. The cable cannot hold a voltage: it may push the
    terminals over the charge controllers' set voltage, which then rest; and a battery takes no more from it than it
    accepts."""
    accepted = bus.accepted_a()
    held_v = np.where(accepted < 0, bus.set_v, np.maximum(bus.set_v, bus.source_v))
    need = bus.load_a(held_v) + accepted
    pushed = cable.amps(held_v) > need
    spare_a = cable.amps(held_v) + bus.supply_a(held_v) - need
    held = ~pushed & (spare_a >= 0) & (bus.supply_a(held_v) > 0)
    left = bus.with_sources_off(pushed)

    charges = left.supply_a(bus.source_v) + cable.amps(bus.source_v) > bus.load_a(bus.source_v)
    ohm = np.where(charges, bus.ohm_in, bus.ohm_out)

    def solve(most_in):
        def lacks(v):
            into = np.minimum((v - bus.source_v) / ohm, most_in)
            return left.supply_a(v) + cable.amps(v) - bus.load_a(v) - into

        # Charge controllers lift the terminals no higher than their voltage, the cable than the alternator's, the
        # battery than its.
        highest = np.maximum(np.where(pushed, np.maximum(held_v, cable.volts), held_v), bus.source_v)
        return root_of(lacks, bus.source_v - 100, highest)

    v = solve(np.inf)
    unwilling = ~held & (v > 0) & (cable.volts > v) & (v - bus.source_v > ohm * bus.acceptance_a)
    if unwilling.any():
        v = np.where(unwilling, solve(bus.acceptance_a), v)
    v = np.where(held, held_v, np.maximum(v, 0))
    from_cable = cable.amps(v)
    offers = [left.sun_a(v), left.dc_dc_a, left.mains_a]
    solar_a, dc_dc_a, mains_a = take(offers, bus.load_a(v) + accepted - from_cable, held)
    what = flow(bus, v, held, ohm, [solar_a, dc_dc_a + from_cable, mains_a], held | unwilling)
    return replace(what, spare_a=spare_a)
