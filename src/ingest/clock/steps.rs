//! From stamps to elapsed seconds: midnight, steps back and ahead, whole-second stamps shared by several rows.
//!
//! The log is cut into pieces where the clock steps back (or ahead by whole hours while the engine runs on as before). Within
//! a piece, stamps shared by several rows are spread by one rule:
//!
//! ```text
//! the first row of each new stamp stands at that stamp; rows between two such anchors are spaced evenly;
//! rows before the first anchor are laid backwards, rows after the last one forwards, at the usual spacing
//! ```
//!
//! The first stamp is no anchor where stamps are shared: its second may have begun before the log did. Pieces are then joined
//! one usual spacing apart, since nothing in the log says how long the break was.
//!
//! Limits: a spread row is off by up to the stamp's resolution; a pause that the clock does not show is not seen.

/// What the stamps are.
#[derive(Clone, Copy, Debug)]
pub struct Nature {
    /// Times of day without a date: they may run over midnight.
    pub of_day: bool,
}

/// A step that was put right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// The row after it.
    pub row: usize,
    /// What kind it is.
    pub kind: StepKind,
    /// Its size in seconds; negative for back.
    pub size: f64,
}

/// Kinds of steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepKind {
    /// Over midnight: no fault.
    Midnight,
    /// Back; the rest of the log was moved on.
    Back,
    /// One row that was written late; it was put in its place.
    LateRow,
    /// One row whose stamp fits neither neighbour; it was left out.
    Stray,
    /// Ahead by hours or more while the engine ran on; the rest of the log was moved back.
    Ahead,
    /// The clock stood still while rows went on; they were laid forwards and the rest of the log moved on.
    Stuck,
}

/// Elapsed seconds of every row.
#[derive(Clone, Debug, Default)]
pub struct Elapsed {
    /// Seconds from the first row with a stamp; NaN for rows without.
    pub seconds: Vec<f64>,
    /// What was put right.
    pub steps: Vec<Step>,
    /// Usual time between rows, s.
    pub spacing: f64,
    /// Most stamps are shared: the clock is coarser than the rows.
    pub coarse: bool,
    /// Rows that share their stamp with the row before.
    pub shared: usize,
    /// Distance from the moment that the first row's stamp names to the row, in seconds: not 0 where stamps are shared and the first
    /// one began before the log did.
    pub lead: f64,
}

/// Share of rows with the stamp of the row before from which the clock counts as coarse.
const COARSE_SHARE: f64 = 0.2;

/// Turns stamps (seconds, NaN for none) into elapsed seconds. `runs_on(a, b)` tells whether the readings of two rows are so
/// alike that no hours can lie between them.
pub fn elapse(stamps: &[f64], nature: Nature, runs_on: impl Fn(usize, usize) -> bool) -> Elapsed {
    let mut rows: Vec<usize> = (0..stamps.len()).filter(|&row| stamps.get(row).is_some_and(|stamp| stamp.is_finite())).collect();
    let mut result = Elapsed { seconds: vec![f64::NAN; stamps.len()], ..Elapsed::default() };
    let mut raw: Vec<f64> = rows.iter().map(|&row| stamps.get(row).copied().unwrap_or(f64::NAN)).collect();
    leave_out_strays(&mut rows, &mut raw, &mut result.steps);
    if nature.of_day {
        over_midnight(&rows, &mut raw, &mut result.steps);
    }
    result.shared = raw.windows(2).filter(|pair| pair.first() == pair.last()).count();
    result.coarse = raw.len() > 2 && result.shared as f64 > COARSE_SHARE * raw.len() as f64;
    result.spacing = usual_spacing(&raw);
    let mut placed: Vec<f64> = Vec::with_capacity(raw.len());
    let mut from = 0;
    for to in pieces(&rows, &raw, result.spacing, &mut result.steps, runs_on) {
        let piece = raw.get(from..to).unwrap_or_default();
        let mut spread = spread(piece, result.spacing, result.coarse, |at, size| {
            result.steps.push(Step { row: rows.get(from + at).copied().unwrap_or(0), kind: StepKind::Stuck, size });
        });
        let start = spread.first().copied().unwrap_or(0.0);
        let shift = placed.last().map_or(-start, |last| last + result.spacing - start);
        if placed.is_empty() {
            result.lead = start - piece.first().copied().unwrap_or(start);
        }
        spread.iter_mut().for_each(|second| *second += shift);
        placed.extend(spread);
        from = to;
    }
    for (row, second) in rows.iter().zip(placed) {
        if let Some(slot) = result.seconds.get_mut(*row) {
            *slot = second;
        }
    }
    result.steps.sort_by_key(|step| step.row);
    result
}

/// Takes out single rows whose stamp lies a minute or more from both neighbours, which follow each other without it.
fn leave_out_strays(rows: &mut Vec<usize>, raw: &mut Vec<f64>, steps: &mut Vec<Step>) {
    const FAR: f64 = 60.0;
    let stray: Vec<bool> = (0..raw.len())
        .map(|at| {
            let neighbours = (at.checked_sub(1).and_then(|before| raw.get(before)), raw.get(at), raw.get(at + 1));
            let (Some(before), Some(stamp), Some(after)) = neighbours else { return false };
            let goes_on = (0.0..FAR).contains(&(after - before));
            goes_on && ((stamp - before).abs() >= FAR && (stamp - after).abs() >= FAR)
        })
        .collect();
    if !stray.contains(&true) {
        return;
    }
    for (at, _) in stray.iter().enumerate().filter(|(_, stray)| **stray) {
        let size = raw.get(at).copied().unwrap_or(0.0) - at.checked_sub(1).and_then(|before| raw.get(before)).copied().unwrap_or(0.0);
        steps.push(Step { row: rows.get(at).copied().unwrap_or(0), kind: StepKind::Stray, size });
    }
    let mut keep = stray.iter().map(|stray| !stray);
    rows.retain(|_| keep.next().unwrap_or(true));
    let mut keep = stray.iter().map(|stray| !stray);
    raw.retain(|_| keep.next().unwrap_or(true));
}

/// Adds a day after each fall of more than twelve hours.
fn over_midnight(rows: &[usize], raw: &mut [f64], steps: &mut Vec<Step>) {
    let mut days = 0.0;
    let mut before = f64::NAN;
    for (stamp, &row) in raw.iter_mut().zip(rows) {
        let written = *stamp;
        if written - before < -43_200.0 {
            days += 86_400.0;
            steps.push(Step { row, kind: StepKind::Midnight, size: 0.0 });
        }
        before = written;
        *stamp = written + days;
    }
}

/// Mean spacing of rows over the ordinary stretches: pauses (ten times the median step) and stamps held by four times the
/// median number of rows are left out.
fn usual_spacing(raw: &[f64]) -> f64 {
    let mut held: Vec<(f64, usize)> = Vec::new();
    let mut start = 0;
    for (at, pair) in raw.windows(2).enumerate() {
        if let [now, next] = pair
            && next != now
        {
            held.push((next - now, at + 1 - start));
            start = at + 1;
        }
    }
    held.retain(|(room, _)| *room > 0.0);
    let median = |mut values: Vec<f64>| {
        values.sort_unstable_by(f64::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or(0.0)
    };
    let room = median(held.iter().map(|(room, _)| *room).collect());
    let rows = median(held.iter().map(|(_, rows)| *rows as f64).collect());
    if rows <= 1.0 {
        return room;
    }
    held.retain(|(step, count)| *step <= 10.0 * room && *count as f64 <= 4.0 * rows);
    held.iter().map(|(room, _)| room).sum::<f64>() / held.iter().map(|(_, rows)| *rows).sum::<usize>().max(1) as f64
}

/// Ends of the pieces between which the clock was set.
fn pieces(rows: &[usize], raw: &[f64], spacing: f64, steps: &mut Vec<Step>, runs_on: impl Fn(usize, usize) -> bool) -> Vec<usize> {
    let mut ends = Vec::new();
    let mut before = raw.first().copied().unwrap_or(0.0);
    for (at, &stamp) in raw.iter().enumerate().skip(1) {
        let size = stamp - before;
        let row = rows.get(at).copied().unwrap_or(0);
        if size < 0.0 {
            let next_is_past = raw.get(at + 1).is_some_and(|&next| next >= before);
            if next_is_past && -size < 60.0 {
                steps.push(Step { row, kind: StepKind::LateRow, size });
                continue;
            }
            steps.push(Step { row, kind: StepKind::Back, size });
            ends.push(at);
        } else if size > 1700.0 && is_setting(size, spacing) && rows.get(at - 1).is_some_and(|&last| runs_on(last, row)) {
            steps.push(Step { row, kind: StepKind::Ahead, size });
            ends.push(at);
        }
        before = stamp;
    }
    ends.push(raw.len());
    ends
}

/// Whether a step ahead looks like the clock being set: whole half hours (a time zone, summer time), or more than a day.
fn is_setting(size: f64, spacing: f64) -> bool {
    let off = (size - spacing) - ((size - spacing) / 1800.0).round() * 1800.0;
    size > 86_400.0 || off.abs() < 2.0 + 2.0 * spacing
}

/// Applies the rule of the header within one piece.
fn spread(stamps: &[f64], spacing: f64, coarse: bool, mut stuck: impl FnMut(usize, f64)) -> Vec<f64> {
    let mut seconds = Vec::with_capacity(stamps.len());
    let mut groups: Vec<(usize, f64)> = Vec::new();
    for (at, &stamp) in stamps.iter().enumerate() {
        if groups.last().is_none_or(|&(_, last)| last != stamp) {
            groups.push((at, stamp));
        }
    }
    let mut shift = 0.0;
    for (index, &(start, stamp)) in groups.iter().enumerate() {
        let next = groups.get(index + 1);
        let count = next.map_or(stamps.len(), |next| next.0) - start;
        let rows = count as f64;
        let base = stamp + shift;
        let (first, step) = match next.map(|next| next.1 - stamp) {
            None => (base, spacing),
            Some(room) if room <= 0.0 => (base, spacing),
            // A pause lies before the next stamp: the rows belong to its beginning.
            Some(room) if room > 3.0 * rows * spacing + 2.0 => (base, spacing.min(room / rows)),
            Some(room) if index == 0 && coarse => (base + room - rows * spacing, spacing),
            Some(room) if count > 10 && rows * spacing > 4.0 * room.max(1.0) => {
                let by = rows * spacing - room;
                shift += by;
                stuck(start, by);
                (base, spacing)
            }
            Some(room) => (base, room / rows),
        };
        seconds.extend((0..count).map(|row| first + row as f64 * step));
    }
    seconds
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(stamps: &[f64], of_day: bool) -> Elapsed {
        elapse(stamps, Nature { of_day }, |_, _| true)
    }

    #[test]
    fn shared_whole_seconds_are_anchored_spread_and_laid_backwards() {
        let got = run(&[0.0, 0.0, 0.0, 2.0, 2.0, 2.0, 2.0, 4.0, 4.0, 4.0, 4.0, 6.0], false);
        assert!(got.coarse);
        // Twelve rows over three full stamps of 2 s and one of 3 rows: anchors at rows 3, 7 and 11 are 2 s apart.
        assert!((got.seconds[7] - got.seconds[3] - 2.0).abs() < 1e-9 && (got.seconds[11] - got.seconds[7] - 2.0).abs() < 1e-9);
        assert!((got.seconds[5] - got.seconds[3] - 1.0).abs() < 1e-9);
        assert_eq!(got.seconds[0], 0.0);
        assert!((got.seconds[1] - got.spacing).abs() < 1e-9, "the first rows keep the usual spacing");
        assert!(got.seconds.windows(2).all(|pair| pair[1] > pair[0]));
    }

    #[test]
    fn midnight_is_no_step_back() {
        let got = run(&[86_398.0, 86_399.0, 0.0, 1.0], true);
        assert_eq!(got.seconds, [0.0, 1.0, 2.0, 3.0]);
        assert_eq!(got.steps.iter().map(|step| step.kind).collect::<Vec<_>>(), [StepKind::Midnight]);
    }

    #[test]
    fn a_clock_set_back_or_ahead_is_joined_and_a_late_row_keeps_its_place() {
        let back = run(&[10.0, 11.0, 12.0, 5.0, 6.0, 7.0], false);
        assert_eq!(back.seconds, [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]);
        let ahead = run(&[10.0, 11.0, 12.0, 3613.0, 3614.0], false);
        assert_eq!(ahead.seconds, [0.0, 1.0, 2.0, 3.0, 4.0]);
        let late = run(&[10.0, 11.0, 12.0, 11.5, 13.0, 14.0], false);
        assert_eq!(late.seconds, [0.0, 1.0, 2.0, 1.5, 3.0, 4.0]);
        let stray = run(&[100.0, 101.0, 9_999.0, 103.0, 104.0, 0.0, 106.0, 107.0], false);
        assert_eq!(stray.seconds[..2], [0.0, 1.0]);
        assert!(stray.seconds[2].is_nan() && stray.seconds[7] == 7.0, "{:?}", stray.seconds);
        let pause = run(&[10.0, 11.0, 12.0, 312.0, 313.0], false);
        assert_eq!(pause.seconds, [0.0, 1.0, 2.0, 302.0, 303.0], "five minutes without rows are a pause, not a setting");
    }

    #[test]
    fn a_counter_that_stands_still_does_not_squeeze_the_rows() {
        let mut stamps: Vec<f64> = (0..60).map(|row| f64::from(row / 2)).collect();
        stamps.extend(std::iter::repeat_n(30.0, 100));
        stamps.extend((0..60).map(|row| f64::from(31 + row / 2)));
        let got = run(&stamps, false);
        let length = got.seconds[219] - got.seconds[0];
        assert!((length - 219.0 * got.spacing).abs() < 2.0, "{length} s for 220 rows, {} s apart", got.spacing);
    }
}
