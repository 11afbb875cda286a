//! The page: the same check for people who do not type commands.
//!
//! ```text
//! browser ─ listen (time, size, number of connections) ─ guard (Host, origin, session, key) ─ routes ─▶ uploads ─ gate ─▶ ingest, check ─▶ page
//! ```
//!
//! | address | what it is |
//! |---|---|
//! | `GET /` | the form: log, notes, vehicle, levels |
//! | `POST /check` | takes the form; leads to the answer |
//! | `GET /check/{number}` | the verdict, or what stands in its way |
//! | `GET /check/{number}/columns`, `POST` | how the columns were understood, to be corrected |
//! | `GET /check/{number}/stated`, `POST` | what was typed beside the log, to be corrected |
//! | `GET /check/{number}/report`, `/summary` | the whole report, the customer's page; both to be printed |
//! | `POST /check/{number}/keep` | keeps the run |
//! | `GET /runs`, `?vehicle=NAME` | what is kept, and the history of one vehicle |
//! | `GET /runs/{run}`, `/report`, `/summary` | a kept run |
//! | `GET /runs/{run}/judgings/{n}` | an earlier judging as it was kept |
//! | `POST /runs/{run}/levels` | adds later readings; judged again |
//! | `GET /compare?earlier=RUN&later=RUN` | two kept runs against each other |
//! | `GET /plan`, `/plan/card` | plans a refill; the job card to be printed |
//! | `GET /try`, `POST /try` | a made-up drive through the same check |
//! | `GET /level?occasion=…&text=…` | whether a level can be read, for the script |
//! | `GET /help`, `/enter`, `POST /enter`, `/assets/…` | help, the key, style and script |
//!
//! Nothing is analysed here and nothing is written to the disk but what the archive keeps. No path of a request reaches the disk: a run is
//! named by its twelve digits, which are checked, and everything else is an entry of a table in memory.
//!
//! Limits: one program, one store, people who trust each other: whoever is let in sees every kept run. No encryption: on a network that
//! others share, what is sent can be read on its way.

pub mod assets;
pub mod body;
pub mod budget;
pub mod gate;
pub mod guard;
pub mod held;
pub mod hosts;
pub mod labels;
pub mod limits;
pub mod listen;
pub mod markup;
pub mod multipart;
pub mod outcome;
pub mod pages;
pub mod refusal;
pub mod secret;
pub mod session;
pub mod typed;
pub mod uploads;
pub mod vehicle_form;

pub use limits::Limits;

use crate::archive::Archive;
use axum::Router;
use axum::middleware;
use axum::routing::{get, post};
use budget::Budget;
use gate::Gate;
use held::{Log, Shelf};
use hosts::Hosts;
use refusal::Refusal;
use session::{Sessions, Tell};
use std::net::SocketAddr;
use std::sync::Arc;

/// What the program knows while it serves.
pub struct App {
    /// The kept runs; `None` if nobody says where they are.
    pub archive: Option<Archive>,
    /// Limits.
    pub limits: Limits,
    /// Uploads that are held.
    pub shelf: Shelf,
    /// The gate before every piece of work.
    pub gate: Gate,
    /// The account of memory.
    pub budget: Arc<Budget>,
    /// Names that it answers to.
    pub hosts: Hosts,
    /// Sessions and the key.
    pub sessions: Sessions,
}

/// How the page is to be served.
pub struct Settings {
    /// The kept runs.
    pub archive: Option<Archive>,
    /// Limits.
    pub limits: Limits,
    /// The address that is listened on.
    pub listening: SocketAddr,
    /// Further names that it answers to.
    pub names: Vec<String>,
    /// Who hears the key, where one is needed.
    pub tell: Option<Tell>,
}

impl App {
    /// With these settings.
    ///
    /// # Errors
    ///
    /// What the system says, if it has no source of chance.
    pub fn new(settings: Settings) -> Result<Arc<Self>, getrandom::Error> {
        let Settings { archive, limits, listening, names, tell } = settings;
        Ok(Arc::new(Self {
            archive,
            shelf: Shelf::default(),
            gate: Gate::new(&limits),
            budget: Budget::new(limits.memory_bytes),
            hosts: Hosts::new(listening, &names),
            sessions: Sessions::new(listening.port(), tell)?,
            limits,
        }))
    }

    /// Whether a log is checked alone: a large one, or one whose size shows only when it is unpacked.
    pub fn alone(&self, log: Option<&Log>) -> bool {
        log.is_some_and(|log| log.bytes.len() > self.limits.heavy_bytes || log.bytes.starts_with(&[0x1f, 0x8b]))
    }

    /// Whether kept runs are opened alone, by the same measure as logs that are sent.
    pub fn alone_with<'a>(&self, runs: impl Iterator<Item = &'a str>) -> bool {
        let Some(archive) = &self.archive else { return false };
        let sizes = runs.filter_map(|run| archive.log_size(run));
        let (bytes, packed) = sizes.fold((0_u64, false), |(all, any), (bytes, packed)| (all.saturating_add(bytes), any || packed));
        packed || bytes > self.limits.heavy_bytes as u64
    }

    /// The kept runs.
    ///
    /// # Errors
    ///
    /// [`Refusal`] if nobody says where they are.
    pub fn store(&self) -> Result<&Archive, Refusal> {
        self.archive.as_ref().ok_or_else(|| {
            Refusal::not_found(
                "This system does not say where data is kept, so nothing is kept.",
                "Start the program anew and say where: wellbled serve --store FOLDER",
            )
        })
    }
}

/// Every address with the guard before it.
pub fn router(app: Arc<App>) -> Router {
    use pages::{check, columns, compare, enter, help, kept, plan, runs, start, stated, try_out};
    Router::new()
        .route("/", get(start::page))
        .route("/check", post(check::send))
        .route("/check/{number}", get(check::show))
        .route("/check/{number}/columns", get(columns::show).post(columns::correct))
        .route("/check/{number}/stated", get(stated::show).post(stated::correct))
        .route("/check/{number}/report", get(check::report))
        .route("/check/{number}/summary", get(check::summary))
        .route("/check/{number}/keep", post(check::keep))
        .route("/runs", get(runs::list))
        .route("/runs/{run}", get(kept::show))
        .route("/runs/{run}/report", get(kept::report))
        .route("/runs/{run}/summary", get(kept::summary))
        .route("/runs/{run}/judgings/{judging}", get(kept::judging))
        .route("/runs/{run}/levels", post(kept::add))
        .route("/compare", get(compare::page))
        .route("/plan", get(plan::page))
        .route("/plan/card", get(plan::card))
        .route("/try", get(try_out::page).post(try_out::make))
        .route("/level", get(stated::level))
        .route("/help", get(help::page))
        .route("/enter", get(enter::show).post(enter::try_key))
        .route("/assets/{name}", get(assets::asset))
        .fallback(help::nowhere)
        .method_not_allowed_fallback(|| async { guard::method_not_allowed() })
        .layer(middleware::from_fn_with_state(app.clone(), guard::watch))
        .with_state(app)
}
