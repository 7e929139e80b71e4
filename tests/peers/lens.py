"""A lens of two thin glasses and a stop between them, known only by the rays that go through it."""

import numpy as np


class Lens:
    """Places are along the axis in millimetres, the first glass at zero; light goes to larger ones."""

    def __init__(self, first, second, apart, stop, opening):
        self.glasses = [(0.0, first), (apart, second)]
        self.stop, self.opening = stop, opening
        # what goes in level tells the focal length and the size of the pupils, what crosses the axis where they are
        height, slope = self.from_front(1.0, 0.0)
        self.focal = -1.0 / slope
        behind = apart - height / slope
        at_stop = self.at(stop, 1.0, 0.0)
        self.entrance_width = opening / at_stop
        back_height, back_slope = self.from_back(1.0, 0.0)
        self.exit_width = opening / self.at(stop, back_height, back_slope)
        in_front = -back_height / back_slope
        self.principal_gap = (behind - self.focal) - (in_front + self.focal)
        tilted = self.at(stop, 0.0, 1.0)
        # level and tilted rays of the first glass, mixed so that they meet the stop on the axis
        self.entrance = tilted / at_stop

    @staticmethod
    def bend(height, slope, focal):
        return slope - height / focal

    def from_front(self, height, slope):
        """Height and slope behind the second glass of a ray that meets the first one so."""
        slope = self.bend(height, slope, self.glasses[0][1])
        height = height + slope * self.glasses[1][0]
        return height, self.bend(height, slope, self.glasses[1][1])

    def from_back(self, height, slope):
        """Height and slope in front of the first glass of a ray that leaves the second one so."""
        slope = slope + height / self.glasses[1][1]
        height = height - slope * self.glasses[1][0]
        return height, slope + height / self.glasses[0][1]

    def at(self, place, height, slope):
        """Height between the glasses of a ray that meets the first glass so."""
        return height + self.bend(height, slope, self.glasses[0][1]) * place

    def through(self, far, height, aim):
        """Height and slope at the second glass of the ray from a height so far before the entrance pupil that meets the stop at `aim`."""
        place = self.entrance - far
        # two rays of the point, mixed so that the stop is met where it should be
        rays = [(height - place * slope, slope) for slope in (0.0, 1.0 / far)]
        level, tilted = (self.at(self.stop, *ray) for ray in rays)
        share = (aim - level) / (tilted - level)
        return self.from_front(*(a + share * (b - a) for a, b in zip(*rays)))

    def parallel(self, aim):
        """The same for a point of the axis at infinity."""
        return self.from_front(aim / self.at(self.stop, 1.0, 0.0), 0.0)

    def sensor_for(self, far):
        """Where a point of the axis is sharp."""
        height, slope = self.through(far, 0.0, self.opening / 2)
        return self.glasses[1][0] - height / slope

    def width_on(self, sensor, ray):
        """Width there of the cone whose upper ray this is; a point of the axis has one as wide below."""
        return 2 * abs(ray[0] + ray[1] * (sensor - self.glasses[1][0]))

    @property
    def pupil_magnification(self):
        return self.exit_width / self.entrance_width

    @property
    def f_number(self):
        return self.focal / self.entrance_width


def some_lens(rng):
    """A lens for a picture: retrofocus, telephoto or of two alike, with no image inside that turns a pupil over."""
    while True:
        first = rng.uniform(30, 250) * rng.choice([-1, 1])
        apart = rng.uniform(5, 50)
        second = rng.uniform(20, 120) * (rng.choice([-1, 1]) if first > 0 else 1)
        lens = Lens(first, second, apart, apart * rng.uniform(0.05, 0.95), rng.uniform(2, 12))
        if 12 < lens.focal < 250 and 0.4 < lens.pupil_magnification < 2.5 and lens.entrance_width > 0:
            return lens
