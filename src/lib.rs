//! Reads the log of the drive after a cooling-system refill and says whether the system is bled.
pub mod channel;
pub mod estimate;
pub mod report;
pub mod run;
pub mod units;
pub mod vehicle;
pub mod verdict;
