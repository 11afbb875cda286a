//! From a run to measurements: every question asked of it, in the order in which one answer needs another.
//!
//! Nothing here judges; limits belong to `verdict`. Each module asks one question, says in its header how it is answered, and
//! returns what it measured with its uncertainty, or why the log cannot tell.

pub mod ambient;
pub mod boiling_margin;
pub mod cooling_down;
pub mod heat_input;
pub mod heat_rejection;
pub mod level_expansion;
pub mod level_loss;
pub mod levels;
pub mod log_quality;
pub mod opening;
pub mod phases;
pub mod regulation;
pub mod reported_degrees;
pub mod sensor_offset;
pub mod trapped_air;
pub mod warm_up;
pub mod warm_up_model;

use crate::run::Run;
use ambient::Ambient;
use boiling_margin::BoilingMargin;
use cooling_down::CoolingDown;
use heat_input::HeatInput;
use heat_rejection::HeatRejection;
use level_expansion::LevelExpansion;
use level_loss::LevelLoss;
use log_quality::LogQuality;
use opening::Opening;
use phases::Phases;
use regulation::Regulation;
use sensor_offset::{NoOffset, SensorOffset};
use trapped_air::TrappedAir;
use warm_up::WarmUp;

/// Everything measured on one run.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// When the engine ran.
    pub phases: Phases,
    /// The air about the vehicle.
    pub ambient: Ambient,
    /// What stands for heat.
    pub heat: HeatInput,
    /// What the log can tell at all.
    pub log_quality: LogQuality,
    /// The coolant sensor against the air after a cold soak.
    pub sensor_offset: Result<SensorOffset, NoOffset>,
    /// The thermostat's opening.
    pub opening: Opening,
    /// The rise before it.
    pub warm_up: WarmUp,
    /// The band held after it.
    pub regulation: Regulation,
    /// Fan and radiator.
    pub heat_rejection: HeatRejection,
    /// Distance to boiling.
    pub boiling_margin: Option<BoilingMargin>,
    /// After key-off.
    pub cooling_down: CoolingDown,
    /// The hot level.
    pub level_expansion: LevelExpansion,
    /// The cold level.
    pub level_loss: LevelLoss,
    /// Gas left in the circuit.
    pub trapped_air: TrappedAir,
}

impl Analysis {
    /// Asks everything of a run.
    pub fn of(run: &Run) -> Self {
        Self::with_prior(run, trapped_air::PRIOR)
    }

    /// Asks everything of a run; `prior` is the probability of trapped air before its evidence.
    pub fn with_prior(run: &Run, prior: f64) -> Self {
        let phases = Phases::of(run);
        let ambient = Ambient::of(run, &phases);
        let heat = HeatInput::of(run, &phases);
        let opening = Opening::of(run, &phases, &heat, &ambient);
        let regulation = Regulation::of(run, &phases, &heat, &ambient, &opening);
        let cooling_down = CoolingDown::of(run, &phases, &ambient);
        let level_expansion = LevelExpansion::of(run, &phases, &ambient, opening.state, &cooling_down);
        let level_loss = LevelLoss::of(run, &phases, &ambient, opening.state, &cooling_down);
        let findings = trapped_air::Findings {
            phases: &phases,
            heat: &heat,
            ambient: &ambient,
            opening: &opening,
            expansion: &level_expansion,
            loss: &level_loss,
        };
        Self {
            trapped_air: TrappedAir::of(run, &findings, prior),
            log_quality: LogQuality::of(run, &phases),
            sensor_offset: SensorOffset::of(run, &phases),
            warm_up: WarmUp::of(run, &phases, &heat, &ambient, &opening),
            heat_rejection: HeatRejection::of(run, &phases, &heat, &ambient, &opening),
            boiling_margin: BoilingMargin::of(run, &phases),
            cooling_down,
            level_expansion,
            level_loss,
            regulation,
            phases,
            ambient,
            heat,
            opening,
        }
    }
}
