//! The plan of a refill, and its job card: all of it in the address, so that it can be kept as a bookmark and nothing is held.

use super::asked::Asked;
use super::check::lead;
use super::report::whole;
use super::runs;
use crate::planning::typed::{Field, Typed as Job};
use crate::planning::{Plan, PlanError};
use crate::report::job_card;
use crate::report::plan::{Sheet, html};
use crate::vehicle::Vehicle;
use crate::web::App;
use crate::web::labels;
use crate::web::markup::{self, Fields, Page, Wrong, in_address};
use crate::web::refusal::Refusal;
use crate::web::typed::{Typed, known_vehicle};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use std::sync::Arc;

/// `GET /plan`.
///
/// # Errors
///
/// [`Refusal`] if too many wait.
pub async fn page(State(app): State<Arc<App>>, Asked(asked): Asked) -> Result<Response, Refusal> {
    let vehicles = runs::vehicles(&app).await?;
    let made = if asked.text("go").is_empty() { None } else { Some(planned(&app, &asked).await?) };
    let wrong: &[Wrong] = if let Some(Err(wrong)) = &made { wrong } else { &[] };
    let result = if let Some(Ok(sheet)) = &made { shown(sheet, &query(&asked)) } else { String::new() };
    let filled = |name: &str| asked.text(name).to_owned();
    let fields = Fields { filled: &filled, wrong };
    let words = "What to pour, what it stands, when it is due again, and a job card for the yard. State what you know; two or three entries are enough to begin.";
    let body = format!("{}{}{result}{}", lead("Plan a refill", words), markup::errors(wrong, &label), form(&fields, &vehicles));
    let status = if wrong.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, Page::new("Plan a refill", body).at("/plan")).into_response())
}

/// `GET /plan/card`.
///
/// # Errors
///
/// [`Refusal`] if too many wait. What cannot be planned leads back to the form.
pub async fn card(State(app): State<Arc<App>>, Asked(asked): Asked) -> Result<Response, Refusal> {
    match planned(&app, &asked).await? {
        Ok(sheet) => Ok(whole(job_card::render(&sheet))),
        Err(_) => Ok(Redirect::to(&format!("/plan?{}#errors", query(&asked))).into_response()),
    }
}

/// The fields as an address has them.
fn query(asked: &Typed) -> String {
    let names = Field::all().map(Field::name).chain(["vehicle_known"]).filter(|name| !asked.text(name).is_empty());
    let pairs = names.map(|name| format!("{name}={}", in_address(asked.text(name))));
    pairs.chain(["go=1".to_owned()]).collect::<Vec<_>>().join("&")
}

async fn planned(app: &Arc<App>, asked: &Typed) -> Result<Result<Sheet, Vec<Wrong>>, Refusal> {
    let (archive, asked) = (app.archive.clone(), asked.clone());
    app.gate
        .pass(false, move || {
            let known = asked.text("vehicle_known");
            let vehicle = if known.is_empty() { Vehicle::default() } else { known_vehicle(archive.as_ref(), known)?.0 };
            let job: Job =
                Field::all().map(|field| (field, asked.text(field.name()).to_owned())).filter(|(_, text)| !text.is_empty()).collect();
            let read = job.job(&vehicle, || chrono::Local::now().date_naive());
            let read = read.map_err(|unread| vec![Wrong::new(unread.field.name(), unread.what, unread.hint)])?;
            let plan = Plan::of(&vehicle, &read).map_err(|error| vec![Wrong::new(about(&error, &job), error.to_string(), error.hint())])?;
            Ok(Sheet::of(&plan, &vehicle, &read))
        })
        .await
}

/// The field in which what stands in the way is put right.
fn about(error: &PlanError, job: &Job) -> &'static str {
    match error {
        PlanError::NoCapacity => Field::Capacity.name(),
        PlanError::NoDrain => Field::Drained.name(),
        PlanError::NothingWanted => Field::Wanted.name(),
        other => job.stating(other).first().map_or(Field::Capacity.name(), |(field, _)| field.name()),
    }
}

fn shown(sheet: &Sheet, query: &str) -> String {
    format!(
        "<section class=\"card plan\" id=\"result\" tabindex=\"-1\">\n<h2>What to pour</h2>\n<div class=\"headline\">\n{}</div>\n\
         <p><a class=\"button\" id=\"card-link\" href=\"/plan/card?{}\">Job card, to print</a></p>\n</section>\n<section class=\"card work\">\n<h2>The work, step by step</h2>\n{}\
         <p class=\"quiet\">The number before a bracket is the likely one; the truth lies within the bracket 95 times in 100.</p>\n</section>\n",
        html::answer(sheet),
        markup::value(query),
        html::steps(sheet)
    )
}

/// A field's label and hint.
const WORDS: [(Field, &str, &str); 16] = [
    (Field::Capacity, "Capacity of the whole system", "7.2 L; in place of the known vehicle's."),
    (Field::Drained, "What came out, or will", "4.5 L; 4.5 L@40 °C if it was warm; 4.5 L+-0.1 L if you know how well."),
    (Field::Wanted, "Freezing point to reach, or a strength", "-30 °C or 50 %"),
    (Field::Present, "Strength of what is in it", "50 %, or the freezing point it was read at."),
    (Field::Ready, "Ready mixture of this strength", "50 %; leave empty to pour concentrate and water."),
    (Field::Rounds, "Drains refilled with coolant", "1 if left empty."),
    (Field::Rinses, "Drains refilled with water first", "0 if left empty."),
    (Field::Filled, "What went in, once it is in", "4.4 L: drained against filled tells the air that is left."),
    (Field::WantedNew, "Share of new coolant to reach", "90 %: how many drains does it take?"),
    (Field::Life, "Life of a full fill, by its label", "160000 km/5 years"),
    (Field::Odometer, "Odometer", "182000 km or 113000 mi"),
    (Field::Date, "Day of the work", "2026-03-02, or today"),
    (Field::Air, "Air temperature at the work", "12 °C"),
    (Field::Altitude, "Altitude where it is driven at its highest", "200 m or 5000 ft"),
    (Field::Cap, "Opening pressure of the cap", "110 kPa or 16 psi"),
    (Field::Price, "Price of a litre", "8 EUR, or 30 USD/gal"),
];

/// The label of a field in the list of what has to be changed.
fn label(name: &str) -> &'static str {
    if name == "vehicle_known" {
        return labels::label(name);
    }
    WORDS.iter().find(|(field, ..)| field.name() == name).map_or("", |(_, label, _)| label)
}

/// Fields that stand open; the others are behind a summary.
const OPEN: usize = 4;

fn form(fields: &Fields, vehicles: &[(String, String)]) -> String {
    let line = |(field, label, hint): &(Field, &str, &str)| fields.line(field.name(), label, hint, "");
    let known = if vehicles.is_empty() {
        String::new()
    } else {
        let none = std::iter::once((String::new(), "none of these".to_owned()));
        fields.choice(
            "vehicle_known",
            "A vehicle that is known from kept runs",
            "",
            &none.chain(vehicles.iter().cloned()).collect::<Vec<_>>(),
        )
    };
    let drains = fields.choice(
        Field::Drains.name(),
        "Or: which drains are opened",
        "",
        &[
            (String::new(), "I state the volume".to_owned()),
            ("radiator".to_owned(), "the radiator's".to_owned()),
            ("radiator-and-block".to_owned(), "the radiator's and the block's".to_owned()),
        ],
    );
    let glycol = |field: Field, label: &str| {
        fields.words(field.name(), label, "", "as the vehicle's, else ethylene glycol", &["ethylene", "propylene"])
    };
    let product = |field: Field, label: &str| fields.words(field.name(), label, "", "not known", &["inorganic", "organic", "hybrid"]);
    let (first, more) = WORDS.split_at(OPEN.min(WORDS.len()));
    let given = more
        .iter()
        .any(|(field, ..)| !(fields.filled)(field.name()).is_empty() || fields.wrong.iter().any(|wrong| wrong.field == field.name()));
    format!(
        "<form id=\"plan\" method=\"get\" action=\"/plan#result\">\n<input type=\"hidden\" name=\"go\" value=\"1\">\n<section class=\"card\" aria-labelledby=\"job-title\">\n\
         <h2 id=\"job-title\">The job</h2>\n{known}<div class=\"columns\">\n{}{drains}</div>\n<details{}>\n<summary>More that can be stated</summary>\n<div class=\"columns\">\n{}{}{}{}{}</div>\n</details>\n</section>\n\
         <div class=\"go\">\n<button type=\"submit\" id=\"go\">Plan it</button>\n</div>\n</form>\n",
        first.iter().map(line).collect::<String>(),
        if given { " open" } else { "" },
        more.iter().map(line).collect::<String>(),
        product(Field::Product, "Type of the new coolant"),
        product(Field::PresentType, "Type of what is in it"),
        glycol(Field::Base, "New coolant made of"),
        glycol(Field::PresentBase, "What is in it made of"),
    )
}
