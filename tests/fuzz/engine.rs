//! The engine: inputs bred from a kept corpus, each held against what a target promises of every input.
//!
//! An input that shows something not seen before (another error, another layout, another set of defects; under instrumentation another
//! edge of the program) joins the corpus of its run, and is changed further. Nothing here is left to the moment: the same seed breeds
//! the same inputs on every machine, so that a finding can be told by its seed and count as well as by its bytes.
//!
//! Limits: without instrumentation the engine sees what a target tells of an input and no more.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::panic::{self, AssertUnwindSafe};
use std::path::{Path, PathBuf};
use std::sync::Once;

/// What is fuzzed.
#[derive(Clone, Copy)]
pub struct Target {
    /// Its name: the folder of its corpus.
    pub name: &'static str,
    /// Most bytes of an input.
    pub most: usize,
    /// Words that mean something to it.
    pub words: &'static [&'static str],
    /// Takes one input, asserts what must hold, and tells what it saw.
    pub run: fn(&[u8]) -> Seen,
}

/// What a target saw in an input: short words, each of few kinds.
pub type Seen = Vec<String>;

/// What a run came to.
#[derive(Debug, Default)]
pub struct Tally {
    /// Inputs tried.
    pub inputs: usize,
    /// Different things that targets saw.
    pub outcomes: usize,
    /// Different edges of the program, where it was instrumented.
    pub edges: usize,
    /// Inputs that broke a promise: where, and the file that holds the input.
    pub findings: Vec<(String, PathBuf)>,
    /// The corpus as it grew.
    pub pool: Vec<Vec<u8>>,
}

/// The kept inputs of a target.
pub fn corpus(target: &Target) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus").join(target.name);
    let mut files: Vec<PathBuf> = fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.expect("it can be listed").path())
        .collect();
    files.sort();
    assert!(!files.is_empty(), "{} is empty", folder.display());
    files.iter().map(|path| fs::read(path).expect("it can be read")).collect()
}

/// Breeds inputs while `more(inputs tried)` says so. `edges` tells the numbers of the edges that the last input took.
pub fn fuzz(target: &Target, seed: u64, more: impl Fn(usize) -> bool, edges: impl Fn() -> Vec<u32>) -> Tally {
    let mut pool = corpus(target);
    let mut chance = Chance(seed ^ hash(target.name));
    let (mut outcomes, mut all_edges) = (BTreeSet::new(), BTreeSet::new());
    let mut tally = Tally::default();
    let mut places = BTreeSet::new();
    let kept = pool.len();
    while more(tally.inputs) {
        // The kept corpus goes first, as it stands.
        let input = if tally.inputs < kept { pool[tally.inputs].clone() } else { bred(&pool, target, &mut chance) };
        tally.inputs += 1;
        match held(target, &input) {
            Ok(seen) => {
                let together = seen.join("|");
                let mut fresh = 0;
                for one in seen.into_iter().chain([together]) {
                    fresh += usize::from(outcomes.insert(hash(&one)));
                }
                for edge in edges() {
                    fresh += usize::from(all_edges.insert(edge));
                }
                if fresh > 0 && tally.inputs > kept {
                    pool.push(input);
                }
            }
            Err(place) => {
                if places.insert(place.clone()) {
                    tally.findings.push((place, put_aside(target, &input)));
                }
            }
        }
    }
    (tally.outcomes, tally.edges, tally.pool) = (outcomes.len(), all_edges.len(), pool);
    tally
}

thread_local! {
    static PLACE: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// Runs a target on one input; where it broke a promise, the place and the words.
pub fn held(target: &Target, input: &[u8]) -> Result<Seen, String> {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let usual = panic::take_hook();
        panic::set_hook(Box::new(move |about| {
            let place = about.location().map(|place| format!("{}:{}", place.file(), place.line())).unwrap_or_default();
            PLACE.with(|slot| match slot.try_borrow_mut() {
                Ok(mut slot) if slot.is_some() => *slot = Some(place),
                _ => usual(about),
            });
        }));
    });
    PLACE.with(|slot| *slot.borrow_mut() = Some(String::new()));
    let outcome = panic::catch_unwind(AssertUnwindSafe(|| (target.run)(input)));
    let place = PLACE.with(|slot| slot.borrow_mut().take()).unwrap_or_default();
    outcome.map_err(|words| {
        let words = words.downcast_ref::<String>().cloned().or(words.downcast_ref::<&str>().map(|words| (*words).to_owned()));
        // Numbers and what is quoted differ from input to input; the finding is the same.
        let words: String = words.unwrap_or_default().chars().take_while(|c| *c != ':').filter(|c| !c.is_ascii_digit()).take(80).collect();
        format!("{place}: {words}")
    })
}

/// Writes an input that broke a promise beside what the build makes.
fn put_aside(target: &Target, input: &[u8]) -> PathBuf {
    let folder = option_env!("CARGO_TARGET_TMPDIR").map_or_else(std::env::temp_dir, PathBuf::from).join("fuzz").join(target.name);
    fs::create_dir_all(&folder).expect("a folder can be made");
    let path = folder.join(format!("{:016x}", hash(input)));
    fs::write(&path, input).expect("a file can be written");
    path
}

fn hash(value: impl Hash) -> u64 {
    let mut hasher = DefaultHasher::new();
    value.hash(&mut hasher);
    hasher.finish()
}

/// Chance by SplitMix64 (Steele, Lea & Flood 2014).
pub struct Chance(pub u64);

impl Chance {
    /// Sixty-four bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `end`; 0 where there is none.
    pub fn below(&mut self, end: usize) -> usize {
        (self.bits() >> 16) as usize % end.max(1)
    }

    /// One of a list that is not empty.
    pub fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

/// A changed copy of something in the pool.
fn bred(pool: &[Vec<u8>], target: &Target, chance: &mut Chance) -> Vec<u8> {
    // What joined last has been changed least.
    let newest = pool.len() - 1 - chance.below(pool.len().min(1 + pool.len() / 4));
    let at = if chance.below(3) == 0 { newest } else { chance.below(pool.len()) };
    let mut input = pool[at].clone();
    for _ in 0..1 + chance.below(4) {
        let other = chance.below(pool.len());
        mutate::one(&mut input, &pool[other], target.words, chance);
    }
    input.truncate(target.most);
    input
}

#[path = "mutate.rs"]
mod mutate;
