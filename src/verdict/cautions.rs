//! Cautions: the ways in which this work hurts people, shown where they apply and before any advice.

/// One danger. The order is the order in which they are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Caution {
    /// Overheating now.
    Overheating,
    /// Pressure and heat behind the cap.
    HotCap,
    /// The fan.
    Fan,
    /// Carbon monoxide.
    Exhaust,
    /// A raised vehicle.
    Raised,
    /// Poisonous coolant.
    Glycol,
    /// Handling the recorder while driving.
    Recorder,
    /// The maker's word.
    Maker,
}

impl Caution {
    /// Those that go with every drive.
    pub const ALWAYS: [Caution; 3] = [Caution::HotCap, Caution::Fan, Caution::Maker];

    /// Every danger, in the order in which they are printed.
    pub const ALL: [Caution; 8] = [
        Caution::Overheating,
        Caution::HotCap,
        Caution::Fan,
        Caution::Exhaust,
        Caution::Raised,
        Caution::Glycol,
        Caution::Recorder,
        Caution::Maker,
    ];

    /// The caution as sentences. The first says by itself what must not be done or must be done; where there is room for one
    /// only, that is the one.
    pub fn text(self) -> &'static str {
        match self {
            Caution::Overheating => {
                "Overheating (warning lamp, steam, heater suddenly cold): stop when safe, engine off, open nothing. Do not pour cold coolant into a hot engine."
            }
            Caution::HotCap => {
                "Never open cap or bleed point hot: the coolant is under pressure and scalds. Pressure can outlast the heat, and a calm reading is no proof that the engine is cool."
            }
            Caution::Fan => {
                "The fan can start by itself, engine off: keep hands, hair and sleeves away. Keep clear of the belts too. A hybrid's engine may start unasked."
            }
            Caution::Exhaust => "Run the engine outdoors or with exhaust extraction: carbon monoxide kills.",
            Caution::Raised => {
                "A raised vehicle stands on rated stands, never on a jack alone. Firm level ground, brake on, wheels chocked."
            }
            Caution::Glycol => {
                "Coolant is poisonous and tastes sweet: catch it, and keep people and animals away. Store it closed and dispose of it by local rules. On a hot exhaust it can burn."
            }
            Caution::Recorder => "Never handle the recorder while driving.",
            Caution::Maker => "The maker's procedure outranks anything printed here. So do local regulations and a licensed technician.",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_sentence_is_short_enough_for_a_phone() {
        use Caution::{Exhaust, Fan, Glycol, HotCap, Maker, Overheating, Raised, Recorder};
        for caution in [Overheating, HotCap, Fan, Exhaust, Raised, Glycol, Recorder, Maker] {
            let first = caution.text().split(". ").next().unwrap_or_default();
            assert!((20..=100).contains(&first.chars().count()), "{first}");
        }
    }
}
