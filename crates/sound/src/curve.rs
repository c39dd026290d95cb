//! What the player's touch becomes.

use crate::Velocity;

/// How the velocity that a keyboard sends becomes the strength of the blow. Soft and loud ends stay where they are.
///
/// ```
/// use sound::{Velocity, VelocityCurve};
/// let middle = Velocity::clamped(64);
/// assert_eq!(VelocityCurve::Even.apply(middle), middle);
/// assert!(VelocityCurve::Soft.apply(middle) > middle);
/// assert!(VelocityCurve::Firm.apply(middle) < middle);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum VelocityCurve {
    /// A light touch already sounds full: for stiff keyboards or light hands.
    Soft,
    /// As the keyboard sends it.
    #[default]
    Even,
    /// Loud only when struck firmly: for keyboards that send high numbers easily.
    Firm,
    /// Every blow alike, at 80: for keyboards that do not tell soft from loud.
    Same,
}

impl VelocityCurve {
    /// All of them, from the lightest touch up.
    pub const ALL: [VelocityCurve; 4] =
        [VelocityCurve::Soft, VelocityCurve::Even, VelocityCurve::Firm, VelocityCurve::Same];

    /// Its name for a person.
    pub fn name(self) -> &'static str {
        match self {
            VelocityCurve::Soft => "soft",
            VelocityCurve::Even => "even",
            VelocityCurve::Firm => "firm",
            VelocityCurve::Same => "all alike",
        }
    }

    /// The velocity that sounds for one that was played.
    pub fn apply(self, played: Velocity) -> Velocity {
        let bent = |power: f32| Velocity::clamped((127.0 * played.share().powf(power)).round() as u8);
        match self {
            VelocityCurve::Soft => bent(0.6),
            VelocityCurve::Even => played,
            VelocityCurve::Firm => bent(1.6),
            VelocityCurve::Same => Velocity::clamped(80),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harder_is_never_softer_and_the_loudest_stays() {
        for curve in VelocityCurve::ALL {
            let all: Vec<Velocity> = (1..=127).map(|v| curve.apply(Velocity::clamped(v))).collect();
            assert!(all.is_sorted(), "{}", curve.name());
        }
        for curve in [VelocityCurve::Soft, VelocityCurve::Even, VelocityCurve::Firm] {
            assert_eq!(curve.apply(Velocity::clamped(127)).get(), 127);
        }
    }
}
