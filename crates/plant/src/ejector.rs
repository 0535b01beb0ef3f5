//! The water-jet ejector: how its drive, its back pressure and its water's warmth set what it draws and lifts.

use water::number::Number;
use water::saturation;

/// Part of the stall ratio up to which the jet is unharmed.
const FADE_FROM: f64 = 0.9;

/// Lift over drive of the jet, (p_b − p)/(p_m − p).
#[inline]
pub fn lift_ratio<T: Number>(motive_pa: T, back_pa: T, shell_pa: T) -> T {
    (back_pa - shell_pa) / (motive_pa - shell_pa)
}

/// Closure (ours): what is left of the jet at a lift ratio, 1 up to 0.9 of the stall ratio, falling in a line to 0 at it.
#[inline]
pub fn stall<T: Number>(lift: T, stall_ratio: T) -> T {
    let start = stall_ratio * FADE_FROM;
    if lift.re() <= start.re() {
        T::from(1.0)
    } else if lift.re() >= stall_ratio.re() {
        T::from(0.0)
    } else {
        (stall_ratio - lift) / (stall_ratio - start)
    }
}

/// Closure (ours): part of the jet's volume that is gas and not the motive water's own vapour, max(0, 1 − (p_sat/p)²).
#[inline]
pub fn volume_factor<T: Number>(shell_pa: T, motive_vapour_pa: T) -> T {
    let x = motive_vapour_pa / shell_pa;
    if x.re() >= 1.0 { T::from(0.0) } else { -x * x + 1.0 }
}

/// Pressure of the motive water's own vapour, Pa.
#[inline]
pub fn motive_vapour_pa<T: Number>(motive_c: T) -> T {
    saturation::pressure_pa(motive_c)
}

/// The jet against its rated self: drive by the square root of the pressure across the nozzle, times what stall leaves of it.
#[inline]
pub fn jet<T: Number>(
    factor: T,
    motive_pa: T,
    shell_pa: T,
    rated_drive_pa: T,
    left: T,
    rated_left: T,
) -> T {
    let drive = motive_pa - shell_pa;
    if drive.re() <= 0.0 || left.re() <= 0.0 || factor.re() <= 0.0 {
        return T::from(0.0);
    }
    factor * (drive / rated_drive_pa).sqrt() * (left / rated_left)
}
