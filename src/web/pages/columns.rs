//! How the columns of a log were understood, to be corrected with a tap.

use super::asked::{Named, lead_to};
use crate::channel::Channel;
use crate::estimate::spoken::number;
use crate::excerpt::shorten;
use crate::ingest::Options;
use crate::ingest::understanding::{ColumnUnderstanding, Understanding, UnitSource};
use crate::web::App;
use crate::web::held::Held;
use crate::web::markup::{self, Fields, Page, Wrong, text};
use crate::web::outcome::{Outcome, Unread};
use crate::web::refusal::Refusal;
use crate::web::session::Session;
use crate::web::typed::Typed;
use crate::web::uploads::{self, Wanted};
use axum::Extension;
use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use std::sync::Arc;

/// Columns that are offered as large buttons; more become a list.
const MOST_BUTTONS: usize = 12;

/// `GET /check/{number}/columns`.
///
/// # Errors
///
/// [`Refusal`] if it is no longer held, or has no log.
pub async fn show(State(app): State<Arc<App>>, Extension(session): Extension<Session>, Named(number): Named) -> Result<Response, Refusal> {
    let held = app.shelf.get(&number, &app.limits)?;
    let understanding = match &*held.outcome {
        Outcome::Checked(answer) => answer.understanding.as_ref(),
        Outcome::Unread(unread) => return Ok(self::unread(&app, &session, &held, unread)),
        Outcome::Wrong(_) => None,
    };
    let understanding = understanding
        .ok_or_else(|| Refusal::not_found("There is no log whose columns could be shown.", "Choose a log on the start page."))?;
    let lead = "<section class=\"card lead\">\n<h1>How the log was read</h1>\n<p>If something is not what it was taken for, say so and check again.</p>\n</section>\n";
    let body = format!("{lead}{}", form(&app, &session, &held, understanding, &[]));
    Ok(Page::new("How the log was read", body).at("/").into_response())
}

/// The page of a log that cannot be read as it stands.
pub fn unread(app: &App, session: &Session, held: &Held, unread: &Unread) -> Response {
    let hints: String = unread.hint.lines().map(|line| format!("<p>{}</p>\n", text(&markup::sentence(line)))).collect();
    let title = if unread.about_columns { "One thing about this log has to be said" } else { "This log cannot be read" };
    let wrong = if unread.about_columns { vec![Wrong::new(about(unread), "the log does not tell it", "say it here")] } else { Vec::new() };
    let to_field = if unread.about_columns && unread.understanding.is_some() {
        format!("<p><a href=\"#{}\">Go to the choice</a></p>\n", about(unread))
    } else {
        String::new()
    };
    let columns = unread.understanding.as_ref().map(|understanding| form(app, session, held, understanding, &wrong)).unwrap_or_default();
    let body = format!(
        "<section id=\"errors\" class=\"errors\" tabindex=\"-1\" aria-labelledby=\"errors-title\">\n<h1 id=\"errors-title\">{title}</h1>\n\
         <p class=\"what\">{}</p>\n{hints}{to_field}</section>\n{columns}\
         <section class=\"card\">\n<h2>Or</h2>\n<ul class=\"ways\">\n<li><a href=\"/check/{}/stated\">Choose another log; what was typed stays</a></li>\n\
         <li><a href=\"/help#log\">What a log has to look like</a></li>\n</ul>\n</section>\n",
        text(&markup::sentence(&unread.what)),
        held.token
    );
    (StatusCode::UNPROCESSABLE_ENTITY, Page::new(title, body).at("/")).into_response()
}

/// The field that an unread log is about.
fn about(unread: &Unread) -> &'static str {
    match unread.what.as_str() {
        what if what.contains("clock") => "time_column",
        what if what.contains("day-month") => "day_first",
        what if what.contains("period") => "period",
        _ => "column_coolant_temperature",
    }
}

fn form(app: &App, session: &Session, held: &Held, understood: &Understanding, wrong: &[Wrong]) -> String {
    let filled = |name: &str| filled(&held.reading, name);
    let fields = Fields { filled: &filled, wrong };
    let taken = |channel: Channel| understood.columns.iter().find(|column| column.channel == Some(channel));
    let as_found = |channel: Channel| match taken(channel) {
        Some(column) => format!("as found: {}", shown(&column.heading)),
        None => "as found: none".to_owned(),
    };
    let named = |words: fn(&ColumnUnderstanding) -> String| {
        understood.columns.iter().enumerate().map(move |(index, column)| (format!("#{}", index + 1), words(column)))
    };
    let coolant = Channel::CoolantTemperature;
    let legend = "Which column is the coolant temperature?";
    let coolant = if understood.columns.len() <= MOST_BUTTONS {
        let first = std::iter::once((String::new(), text(&as_found(coolant))));
        fields.radios(
            "column_coolant_temperature",
            legend,
            "",
            &first
                .chain(named(|column| format!("<strong>{}</strong> {}", text(&shown(&column.heading)), text(&range(column)))))
                .collect::<Vec<_>>(),
        )
    } else {
        let first = std::iter::once((String::new(), as_found(coolant)));
        fields.choice("column_coolant_temperature", legend, "", &first.chain(named(in_list)).collect::<Vec<_>>())
    };
    let others: String = Channel::all()
        .filter(|channel| *channel != Channel::CoolantTemperature)
        .map(|channel| {
            let first = std::iter::once((String::new(), as_found(channel)));
            let choices: Vec<(String, String)> = first.chain(named(in_list)).collect();
            fields.choice(&format!("column_{}", channel.name()), &text(&capitalised(channel.spoken())), "", &choices)
        })
        .collect();
    let clock: Vec<(String, String)> =
        std::iter::once((String::new(), format!("as found: {}", understood.clock))).chain(named(in_list)).collect();
    let others_open = wrong.iter().any(|wrong| wrong.field != "column_coolant_temperature");
    let inside = format!(
        "<section class=\"card\">\n{coolant}</section>\n<section class=\"card\" aria-labelledby=\"clock-title\">\n<h2 id=\"clock-title\">The clock</h2>\n<div class=\"columns\">\n{clock}{period}</div>\n{dates}</section>\n\
         <section class=\"card\">\n<details{open}>\n<summary>Other columns</summary>\n<div class=\"columns\">\n{others}</div>\n</details>\n</section>\n\
         <div class=\"go\">\n<button type=\"submit\" id=\"go\">Check again</button>\n</div>\n",
        clock = fields.choice("time_column", "Which column is the clock?", "", &clock),
        period = fields.line("period", "Seconds between two rows, if there is no clock", "0.5", " inputmode=\"decimal\""),
        dates = fields.radios(
            "day_first",
            "What stands first in a date?",
            "",
            &[(String::new(), "as found".to_owned()), ("yes".to_owned(), "the day".to_owned()), ("no".to_owned(), "the month".to_owned())]
        ),
        open = if others_open { " open" } else { "" },
    );
    let form = markup::form("columns", &format!("/check/{}/columns", held.token), &app.sessions.form_token(session), &inside);
    format!("{form}{}", table(understood))
}

/// What was found, column by column.
fn table(understood: &Understanding) -> String {
    let row = |column: &ColumnUnderstanding| {
        let channel = column.channel.map_or("not used", Channel::spoken);
        let unit = match (&column.unit, column.unit_source) {
            (Some(unit), UnitSource::Inferred) => format!("{unit} (told by its values)"),
            (Some(unit), _) => unit.clone(),
            (None, _) => String::new(),
        };
        format!(
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td class=\"number\">{}</td><td>{}</td></tr>\n",
            text(&shown(&column.heading)),
            text(channel),
            text(&unit),
            text(&range(column)),
            text(&column.why)
        )
    };
    let rows: String = understood.columns.iter().map(row).collect();
    let decimals = if understood.decimal_comma { "decimal commas" } else { "decimal points" };
    format!(
        "<section class=\"card\">\n<h2>What was found</h2>\n<p>{}</p>\n<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Columns of the log\">\n<table>\n\
         <caption>Each column with what it was taken for, and why.</caption>\n<thead><tr><th scope=\"col\">Column</th><th scope=\"col\">Taken for</th>\
         <th scope=\"col\">Unit</th><th scope=\"col\">Range</th><th scope=\"col\">Why</th></tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n</div>\n</section>\n",
        text(&format!(
            "{} rows, {} between the cells, {decimals}, heading in line {}, clock: {}.",
            understood.rows,
            understood.delimiter_name(),
            understood.heading_line,
            understood.clock
        ))
    )
}

fn shown(heading: &str) -> String {
    if heading.is_empty() { "(no name)".to_owned() } else { heading.to_owned() }
}

fn in_list(column: &ColumnUnderstanding) -> String {
    format!("{} ({})", shown(&column.heading), range(column))
}

/// `12 to 96`, or that there are no numbers.
fn range(column: &ColumnUnderstanding) -> String {
    match column.range {
        Some([low, high]) => format!("{} to {}", number(low, 1), number(high, 1)),
        None => "no numbers".to_owned(),
    }
}

fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What a field of the form holds for how the log is read now.
fn filled(reading: &Options, name: &str) -> String {
    match name {
        "time_column" => reading.time_column.clone().unwrap_or_default(),
        "period" => reading.period.map(|period| period.to_string()).unwrap_or_default(),
        "day_first" => reading.day_first.map(|first| if first { "yes" } else { "no" }).unwrap_or_default().to_owned(),
        name => {
            let channel = name.strip_prefix("column_").and_then(Channel::from_name);
            let chosen = reading.columns.iter().find(|(one, _)| Some(*one) == channel);
            chosen.map(|(_, column)| column.clone()).unwrap_or_default()
        }
    }
}

/// How the form says that the log is to be read.
fn reading(typed: &Typed) -> Result<Options, Refusal> {
    let field = |name: &str| Some(typed.text(name).to_owned()).filter(|text| !text.is_empty());
    let columns = Channel::all().filter_map(|channel| Some((channel, field(&format!("column_{}", channel.name()))?)));
    let period = field("period").map(|text| {
        let number = text.trim_end_matches('s').trim_end().replace(',', ".").parse::<f64>().ok().filter(|period| period.is_finite());
        number.ok_or_else(|| {
            Refusal::new(
                StatusCode::UNPROCESSABLE_ENTITY,
                "Seconds between two rows",
                format!("`{}` is no number of seconds.", shorten(&text, 60)),
                "Go back and write a number, such as 0.5.",
            )
        })
    });
    Ok(Options {
        columns: columns.collect(),
        time_column: field("time_column"),
        period: period.transpose()?,
        day_first: field("day_first").map(|first| first == "yes"),
        ..Options::default()
    })
}

/// `POST /check/{number}/columns`.
///
/// # Errors
///
/// [`Refusal`] if it is no longer held, or the form cannot be taken.
pub async fn correct(
    State(app): State<Arc<App>>,
    Extension(session): Extension<Session>,
    Named(number): Named,
    request: Request,
) -> Result<Redirect, Refusal> {
    let form = uploads::receive(&app, &session, request).await?;
    let held = app.shelf.get(&number, &app.limits)?;
    let wanted = Wanted { reading: reading(&form.typed)?, ..Wanted::again(&held) };
    Ok(lead_to(&uploads::check(&app, wanted).await?))
}
