//! How the numbers came about, and what they rest on.

use super::super::document::Section;
use crate::analysis::Analysis;
use crate::estimate::spoken::number;

/// How it was computed, for whoever wants to know.
pub fn sections(analysis: &Analysis) -> Vec<Section> {
    let section = |title: &str, paragraphs: Vec<String>| Section { title: title.to_owned(), paragraphs };
    let ambient = &analysis.ambient;
    let mut found = vec![
        section(
            "What the reading was compared with",
            vec![
                format!("Heat input was taken from {}. The air was taken as {}, from {}.", analysis.heat.source.spoken(), ambient.temperature.spoken(), ambient.source.spoken()),
                "While the thermostat is shut the coolant follows the heat of the fuel, the air's cooling, and the metal and oil that warm behind it. \
                 That balance is fitted to the log in integral form, with a slow error of its own; where the reading leaves it for good, the valve has opened."
                    .to_owned(),
            ],
        ),
        section(
            "How sure it is",
            vec![
                "Every number has an interval that should hold the truth 95 times in 100: rounding of the reading, its sampling, the model's slow error and \
                 the spread between vehicles are counted in. A finding passes only if its whole interval lies inside the limits, and asks for a recheck only \
                 if the whole interval lies outside."
                    .to_owned(),
            ],
        ),
    ];
    if let Some(weighing) = analysis.opening.weighing {
        found.push(section(
            "What spoke for the opening",
            vec![format!(
                "Natural log odds: fit {}, share of the rise taken away ({} %) {}, place {}; together {}.",
                number(weighing.fit, 1),
                number(100.0 * weighing.share_taken, 0),
                number(weighing.share, 1),
                number(weighing.place, 1),
                number(weighing.total(), 1)
            )],
        ));
    }
    let air = &analysis.trapped_air;
    let parts: Vec<String> = air.contributions().iter().map(|(group, added)| format!("{} {}", group.spoken(), number(*added, 1))).collect();
    found.push(section(
        "What spoke for and against air",
        vec![
            format!(
                "Signs are weighed by logistic regression whose weights were set on simulated runs with known air. The evidence changes the odds by a factor of {}; \
                 against a run without pockets each kind adds, as natural logarithm: {}.",
                number(air.likelihood_ratio, 2),
                if parts.is_empty() { "nothing, the log has none".to_owned() } else { parts.join("; ") }
            ),
            "Air that sits still, away from sensor, thermostat and heater outlet, shows in no log; air that has left leaves much the same marks as air that is still there."
                .to_owned(),
        ],
    ));
    found.push(section("What the log can and cannot tell", analysis.log_quality.sentences()));
    found
}

/// Published sources behind the numbers.
pub fn sources() -> Vec<String> {
    [
        "JCGM 100:2008 and JCGM 106:2012: uncertainty of measurement, and decisions by it.",
        "SAE J1979 / ISO 15031-5: channels, ranges and scalings of diagnostic readings.",
        "Melinder, Å. (2010), and ASHRAE (2001): density and freezing of glycol mixtures.",
        "Wagner, W. and Pruß, A. (2002), IAPWS-95, and IAPWS-IF97: water, and its boiling point against pressure.",
        "Lerman, P. M. (1980), J. R. Stat. Soc. C 29(1), 77–84: where a line breaks, by scanning.",
        "Harvey, A. C. (1989): regression with a model error that wanders.",
    ]
    .map(str::to_owned)
    .to_vec()
}
