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
    /// The caution as sentences.
    pub fn text(self) -> &'static str {
        match self {
            Caution::Overheating => {
                "Overheating (warning lamp, steam, heater suddenly cold): stop when safe, engine off, do not open anything, and do not pour cold coolant into a hot engine."
            }
            Caution::HotCap => {
                "Never open the cap or a bleed point while hot: the coolant is under pressure and scalds, and pressure can outlast the heat. A calm reading is no proof that the engine is cool."
            }
            Caution::Fan => {
                "The fan can start without warning, engine off. Keep hands, hair and sleeves away from fan and belts. A hybrid's engine may start unasked."
            }
            Caution::Exhaust => "Run the engine outdoors or with exhaust extraction only: carbon monoxide kills.",
            Caution::Raised => {
                "A raised vehicle stands on rated stands on firm level ground, never on a jack alone; brake on, wheels chocked."
            }
            Caution::Glycol => {
                "Coolant is poisonous to people and animals and tastes sweet: catch it, store it closed, dispose of it by local rules. On a hot exhaust it can burn."
            }
            Caution::Recorder => "Never handle the recorder while driving.",
            Caution::Maker => "The maker's procedure, local regulations and a licensed technician outrank anything printed here.",
        }
    }
}
