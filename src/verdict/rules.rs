//! Rules: one file a finding, each turning what was measured into a decision with its words.

pub mod boiling_margin;
pub mod heat_rejection;
pub mod levels;
pub mod opening;
pub mod regulation;
pub mod sensor_offset;
pub mod trapped_air;
