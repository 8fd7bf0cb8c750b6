//! One wheel on the road: the torque on its shaft over its speed, both ways round.

/// A wheel whose tyre has a load. All in SI units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wheel {
    /// Speed of its path over the ground.
    pub path: f64,
    /// Force that its tyre has left along, above 0.
    pub limit: f64,
    /// Torque that its brake holds, not below 0.
    pub brake: f64,
    /// Rolling radius.
    pub radius: f64,
    /// Slip from which on the tyre slides fully.
    pub slide: f64,
    /// Newtons per unit of slip past full sliding, so that each torque has one speed.
    pub rise: f64,
    /// The speed under which a brake counts as holding the wheel, in rad/s.
    pub still: f64,
}

impl Wheel {
    /// Force along at a slip.
    fn along(&self, slip: f64) -> f64 {
        let size = slip.abs();
        let part = 1.0 - (size / self.slide).min(1.0);
        let past = (size - self.slide).max(0.0) * self.rise;
        (self.limit * (1.0 - part * part * part) + past).copysign(slip)
    }

    /// Slip at a force along.
    fn slip_at(&self, force: f64) -> f64 {
        let size = force.abs();
        let slip = if size > self.limit {
            self.slide + (size - self.limit) / self.rise
        } else {
            self.slide * (1.0 - (1.0 - size / self.limit).cbrt())
        };
        slip.copysign(force)
    }

    /// Speed in rad/s at which the tyre alone takes a torque.
    fn rolling(&self, torque: f64) -> f64 {
        (1.0 + self.slip_at(torque / self.radius)) * self.path / self.radius
    }

    /// Slip at a speed in rad/s.
    pub(super) fn slip(&self, speed: f64) -> f64 {
        speed * self.radius / self.path - 1.0
    }

    /// Force of the road on the tyre at a speed.
    pub(super) fn road(&self, speed: f64) -> f64 {
        self.along(self.slip(speed))
    }

    /// Torque on the shaft at a speed; it rises strictly.
    pub(super) fn torque(&self, speed: f64) -> f64 {
        self.radius * self.road(speed) + self.brake * (speed / self.still).clamp(-1.0, 1.0)
    }

    /// Speed at a torque on the shaft: the inverse of [`Wheel::torque`].
    pub(super) fn speed(&self, torque: f64) -> f64 {
        let forwards = self.rolling(torque - self.brake);
        if self.brake.abs() == 0.0 || forwards >= self.still {
            return forwards;
        }
        let backwards = self.rolling(torque + self.brake);
        if backwards <= -self.still {
            return backwards;
        }
        let (mut low, mut high) = (-self.still, self.still);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.torque(middle) < torque {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// The most torque that the shaft takes before the tyre gives up on drive.
    pub(super) fn most(&self) -> f64 {
        self.radius * self.limit + self.brake
    }

    /// Whether the brake holds it at a speed.
    pub(super) fn is_locked(&self, speed: f64) -> bool {
        self.brake > 0.0 && speed.abs() <= self.still
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn speed_and_torque_are_each_other_s_inverse() {
        for brake in [0.0, 40.0, 900.0] {
            for limit in [1e-5, 800.0, 4000.0] {
                let wheel = Wheel {
                    path: 12.0,
                    limit,
                    brake,
                    radius: 0.32,
                    slide: 0.15,
                    rise: 0.013,
                    still: 1e-4 * 12.0 / 0.32,
                };
                for torque in [-1500.0, -300.0, -20.0, 0.0, 20.0, 300.0, 1500.0] {
                    let back = wheel.torque(wheel.speed(torque));
                    assert!((back - torque).abs() < 1e-6, "{wheel:?}: {torque} {back}");
                }
            }
        }
    }
}
