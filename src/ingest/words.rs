//! The words of headings: trade words in five languages, folded into the notions that tell channels apart.
//!
//! A heading is cut into words at punctuation, at a change from small to capital letters and between letters and digits. A
//! word counts if it is known, if it is a run of known words ("Kühlmitteltemperatur"), or if it is one slip away from a known
//! word of five letters or more (two slips from nine letters).

/// A set of notions, one bit each.
pub type Notions = u64;

macro_rules! notions {
    ($($name:ident),* $(,)?) => { notions!(@ 0, $($name),*); };
    (@ $n:expr, $name:ident $(, $rest:ident)*) => {
        #[allow(missing_docs)]
        pub const $name: Notions = 1 << ($n);
        notions!(@ ($n) + 1, $($rest),*);
    };
    (@ $n:expr,) => {};
}
notions!(
    COOLANT,
    TEMPERATURE,
    ENGINE,
    WATER,
    OIL,
    INTAKE,
    MANIFOLD,
    AIR,
    AMBIENT,
    FUEL,
    CATALYST,
    GEARBOX,
    BATTERY,
    HEAD,
    EXHAUST,
    RADIATOR,
    HEATER,
    OUTLET,
    INLET,
    PRESSURE,
    SPEED,
    ROTATION,
    VEHICLE,
    LOAD,
    ABSOLUTE,
    FLOW,
    RATE,
    BAROMETRIC,
    VOLTAGE,
    MODULE,
    RUN,
    TIME,
    START,
    LEVEL,
    RESERVOIR,
    SYSTEM,
    CABIN,
    VENT,
    FAN,
    TARGET,
    STATISTIC,
    SATELLITE,
    OTHER,
    TURBO,
    STAMP,
    DATE,
    CALCULATED,
    SENSOR,
    SIGNAL,
    VALUE,
    UNIT,
);

/// Known words, in small letters without accents. Trade words are common practice, no source; the English signal names are
/// those of SAE J1979.
const WORDS: &[(&str, Notions)] = &[
    ("coolant", COOLANT),
    ("cooling", COOLANT),
    ("ect", COOLANT | TEMPERATURE | ENGINE),
    ("clt", COOLANT | TEMPERATURE),
    ("cts", COOLANT | TEMPERATURE),
    ("antifreeze", COOLANT),
    ("kuhlmittel", COOLANT),
    ("kuehlmittel", COOLANT),
    ("kuhlwasser", COOLANT),
    ("kuehlwasser", COOLANT),
    ("kuhlflussigkeit", COOLANT),
    ("refroidissement", COOLANT),
    ("refrigerante", COOLANT),
    ("arrefecimento", COOLANT),
    ("anticongelante", COOLANT),
    ("water", WATER),
    ("wasser", WATER),
    ("eau", WATER),
    ("agua", WATER),
    ("temperature", TEMPERATURE),
    ("temp", TEMPERATURE),
    ("temps", TIME),
    ("tmp", TEMPERATURE),
    ("temperatur", TEMPERATURE),
    ("temperatura", TEMPERATURE),
    ("engine", ENGINE),
    ("eng", ENGINE),
    ("motor", ENGINE),
    ("moteur", ENGINE),
    ("oil", OIL),
    ("ol", OIL),
    ("oel", OIL),
    ("huile", OIL),
    ("aceite", OIL),
    ("oleo", OIL),
    ("eot", OIL | TEMPERATURE),
    ("intake", INTAKE),
    ("inlet", INLET),
    ("induction", INTAKE),
    ("suction", INTAKE),
    ("ansaug", INTAKE),
    ("ansaugluft", INTAKE | AIR),
    ("saugrohr", INTAKE | MANIFOLD),
    ("admission", INTAKE),
    ("admision", INTAKE),
    ("admissao", INTAKE),
    ("manifold", MANIFOLD),
    ("iat", INTAKE | AIR | TEMPERATURE),
    ("map", INTAKE | MANIFOLD | PRESSURE),
    ("air", AIR),
    ("luft", AIR),
    ("aire", AIR),
    ("ar", AIR),
    ("ambient", AMBIENT),
    ("outside", AMBIENT),
    ("outdoor", AMBIENT),
    ("aussen", AMBIENT),
    ("umgebungs", AMBIENT),
    ("umgebung", AMBIENT),
    ("exterieur", AMBIENT),
    ("exterieure", AMBIENT),
    ("exterior", AMBIENT),
    ("ambiente", AMBIENT),
    ("ambiant", AMBIENT),
    ("ambiante", AMBIENT),
    ("aat", AMBIENT | AIR | TEMPERATURE),
    ("oat", AMBIENT | AIR | TEMPERATURE),
    ("fuel", FUEL),
    ("kraftstoff", FUEL),
    ("carburant", FUEL),
    ("combustible", FUEL),
    ("combustivel", FUEL),
    ("diesel", FUEL),
    ("catalyst", CATALYST),
    ("cat", CATALYST),
    ("catalytic", CATALYST),
    ("katalysator", CATALYST),
    ("catalyseur", CATALYST),
    ("catalizador", CATALYST),
    ("transmission", GEARBOX),
    ("trans", GEARBOX),
    ("gearbox", GEARBOX),
    ("gear", GEARBOX),
    ("getriebe", GEARBOX),
    ("atf", GEARBOX),
    ("tft", GEARBOX | TEMPERATURE),
    ("clutch", GEARBOX),
    ("battery", BATTERY),
    ("batterie", BATTERY),
    ("bateria", BATTERY),
    ("hv", BATTERY),
    ("cell", BATTERY),
    ("head", HEAD),
    ("cylinder", HEAD),
    ("cht", HEAD | TEMPERATURE),
    ("zylinderkopf", HEAD),
    ("culasse", HEAD),
    ("culata", HEAD),
    ("exhaust", EXHAUST),
    ("egt", EXHAUST | TEMPERATURE),
    ("egr", EXHAUST),
    ("abgas", EXHAUST),
    ("echappement", EXHAUST),
    ("escape", EXHAUST),
    ("radiator", RADIATOR),
    ("kuhler", RADIATOR),
    ("kuehler", RADIATOR),
    ("radiateur", RADIATOR),
    ("radiador", RADIATOR),
    ("heater", HEATER),
    ("heating", HEATER),
    ("heizung", HEATER),
    ("heizungs", HEATER),
    ("chauffage", HEATER),
    ("calefaccion", HEATER),
    ("aquecimento", HEATER),
    ("outlet", OUTLET),
    ("out", OUTLET),
    ("exit", OUTLET),
    ("austritt", OUTLET),
    ("ausgang", OUTLET),
    ("sortie", OUTLET),
    ("salida", OUTLET),
    ("saida", OUTLET),
    ("lower", OUTLET),
    ("bottom", OUTLET),
    ("eintritt", INLET),
    ("pressure", PRESSURE),
    ("press", PRESSURE),
    ("druck", PRESSURE),
    ("pression", PRESSURE),
    ("presion", PRESSURE),
    ("pressao", PRESSURE),
    ("boost", PRESSURE | TURBO),
    ("speed", SPEED),
    ("velocity", SPEED),
    ("geschwindigkeit", SPEED),
    ("vitesse", SPEED),
    ("velocidad", SPEED),
    ("velocidade", SPEED),
    ("vss", VEHICLE | SPEED),
    ("kph", SPEED),
    ("mph", SPEED),
    ("kmh", SPEED),
    ("tacho", SPEED),
    ("fahrgeschwindigkeit", VEHICLE | SPEED),
    ("rpm", ROTATION),
    ("revs", ROTATION),
    ("rev", ROTATION),
    ("revolutions", ROTATION),
    ("drehzahl", ROTATION),
    ("regime", ROTATION),
    ("regimen", ROTATION),
    ("rotacao", ROTATION),
    ("umdrehungen", ROTATION),
    ("vehicle", VEHICLE),
    ("veh", VEHICLE),
    ("car", VEHICLE),
    ("road", VEHICLE),
    ("fahrzeug", VEHICLE),
    ("vehicule", VEHICLE),
    ("vehiculo", VEHICLE),
    ("veiculo", VEHICLE),
    ("ground", VEHICLE),
    ("load", LOAD),
    ("last", LOAD),
    ("charge", LOAD),
    ("carga", LOAD),
    ("absolute", ABSOLUTE),
    ("abs", ABSOLUTE),
    ("flow", FLOW),
    ("maf", AIR | FLOW),
    ("mass", FLOW),
    ("durchfluss", FLOW),
    ("masse", FLOW),
    ("luftmasse", AIR | FLOW),
    ("luftmassen", AIR | FLOW),
    ("debit", FLOW),
    ("caudal", FLOW),
    ("flujo", FLOW),
    ("rate", RATE),
    ("consumption", RATE),
    ("verbrauch", RATE),
    ("consommation", RATE),
    ("consumo", RATE),
    ("barometric", BAROMETRIC),
    ("baro", BAROMETRIC),
    ("barometer", BAROMETRIC),
    ("barometrique", BAROMETRIC),
    ("barometrica", BAROMETRIC),
    ("atmospheric", BAROMETRIC),
    ("atmosphere", BAROMETRIC),
    ("luftdruck", BAROMETRIC | PRESSURE),
    ("voltage", VOLTAGE),
    ("volts", VOLTAGE),
    ("volt", VOLTAGE),
    ("spannung", VOLTAGE),
    ("tension", VOLTAGE),
    ("voltaje", VOLTAGE),
    ("tensao", VOLTAGE),
    ("bordspannung", VOLTAGE | MODULE),
    ("module", MODULE),
    ("control", MODULE),
    ("ecu", MODULE),
    ("ecm", MODULE),
    ("pcm", MODULE),
    ("run", RUN),
    ("runtime", RUN | TIME),
    ("running", RUN),
    ("laufzeit", RUN | TIME),
    ("time", TIME),
    ("zeit", TIME),
    ("heure", TIME),
    ("tiempo", TIME),
    ("hora", TIME),
    ("tempo", TIME),
    ("uhrzeit", STAMP),
    ("elapsed", STAMP),
    ("timestamp", STAMP),
    ("timestamps", STAMP),
    ("datetime", STAMP | DATE),
    ("zeitstempel", STAMP),
    ("horodatage", STAMP),
    ("clock", STAMP),
    ("epoch", STAMP),
    ("unix", STAMP),
    ("seconds", STAMP),
    ("milliseconds", STAMP),
    ("millis", STAMP),
    ("sekunden", STAMP),
    ("date", DATE),
    ("datum", DATE),
    ("fecha", DATE),
    ("dia", DATE),
    ("start", START),
    ("since", START),
    ("started", START),
    ("seit", START),
    ("level", LEVEL),
    ("fullstand", LEVEL),
    ("niveau", LEVEL),
    ("nivel", LEVEL),
    ("reservoir", RESERVOIR),
    ("tank", RESERVOIR),
    ("bottle", RESERVOIR),
    ("expansion", RESERVOIR),
    ("ausgleichsbehalter", RESERVOIR),
    ("system", SYSTEM),
    ("circuit", SYSTEM),
    ("cabin", CABIN),
    ("interior", CABIN),
    ("inside", CABIN),
    ("cockpit", CABIN),
    ("innenraum", CABIN),
    ("vent", VENT),
    ("duct", VENT),
    ("fan", FAN),
    ("blower", FAN),
    ("lufter", FAN),
    ("ventilateur", FAN),
    ("ventilador", FAN),
    ("target", TARGET),
    ("desired", TARGET),
    ("setpoint", TARGET),
    ("requested", TARGET),
    ("commanded", TARGET),
    ("specified", TARGET),
    ("soll", TARGET),
    ("limit", TARGET),
    ("model", TARGET),
    ("modelled", TARGET),
    ("maximum", STATISTIC),
    ("minimum", STATISTIC),
    ("max", STATISTIC),
    ("min", STATISTIC),
    ("average", STATISTIC),
    ("avg", STATISTIC),
    ("mean", STATISTIC),
    ("status", OTHER),
    ("warning", OTHER),
    ("lamp", OTHER),
    ("raw", OTHER),
    ("fault", OTHER),
    ("flag", OTHER),
    ("gps", SATELLITE),
    ("satellite", SATELLITE),
    ("throttle", OTHER),
    ("pedal", OTHER),
    ("trim", OTHER),
    ("mil", OTHER),
    ("cleared", OTHER),
    ("codes", OTHER),
    ("trouble", OTHER),
    ("distance", OTHER),
    ("wheel", OTHER),
    ("axle", OTHER),
    ("brake", OTHER),
    ("inverter", OTHER),
    ("tyre", OTHER),
    ("tire", OTHER),
    ("wind", OTHER),
    ("rail", OTHER),
    ("timing", OTHER),
    ("advance", OTHER),
    ("injection", OTHER),
    ("injector", OTHER),
    ("ignition", OTHER),
    ("oxygen", OTHER),
    ("lambda", OTHER),
    ("evaporator", OTHER),
    ("evap", OTHER),
    ("compressor", OTHER),
    ("refrigerant", OTHER),
    ("conditioning", OTHER),
    ("ac", OTHER),
    ("differential", OTHER),
    ("intercooler", OTHER),
    ("charger", TURBO),
    ("turbo", TURBO),
    ("turbine", TURBO),
    ("turbocharger", TURBO),
    ("ladeluft", TURBO),
    ("pump", OTHER),
    ("thermostat", OTHER),
    ("particulate", EXHAUST),
    ("dpf", EXHAUST),
    ("urea", OTHER),
    ("reagent", OTHER),
    ("torque", OTHER),
    ("delay", OTHER),
    ("calculated", CALCULATED),
    ("calc", CALCULATED),
    ("sensor", SENSOR),
    ("signal", SIGNAL),
    ("name", SIGNAL),
    ("parameter", SIGNAL),
    ("variable", SIGNAL),
    ("channel", SIGNAL),
    ("pid", SIGNAL),
    ("item", SIGNAL),
    ("measurand", SIGNAL),
    ("messgrosse", SIGNAL),
    ("kanal", SIGNAL),
    ("value", VALUE),
    ("wert", VALUE),
    ("messwert", VALUE),
    ("valeur", VALUE),
    ("valor", VALUE),
    ("reading", VALUE),
    ("unit", UNIT),
    ("units", UNIT),
    ("einheit", UNIT),
    ("unite", UNIT),
    ("unidad", UNIT),
    ("unidade", UNIT),
];

/// Words that carry nothing.
const EMPTY: &[&str] = &[
    "de", "du", "des", "la", "le", "el", "do", "da", "of", "the", "in", "liquide", "liquido", "fluid", "der", "sensor", "current", "value",
    "actual", "ist", "obd", "deg", "degrees",
];

/// A heading taken apart.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// All notions found.
    pub notions: Notions,
    /// Words that mean nothing here.
    pub unknown: u32,
    /// Words that were known only after forgiving a slip.
    pub slips: u32,
    /// The number at the end ("sensor 2" → 2), if there is one below 10.
    pub number: Option<u32>,
}

/// Takes a heading apart; units should be gone from it.
pub fn read(heading: &str) -> Reading {
    let mut reading = Reading::default();
    let words = split(heading);
    for (index, word) in words.iter().enumerate() {
        if let Ok(number) = word.parse::<u32>() {
            let after_bank = index > 0 && words.get(index - 1).is_some_and(|word| word.starts_with("bank"));
            if number < 10 && !after_bank {
                reading.number = Some(number);
            }
            continue;
        }
        if word == "b" && index + 1 == words.len() {
            reading.number = Some(2);
            continue;
        }
        if let Some((notions, slips)) = meaning(word, reading.notions) {
            reading.notions |= notions;
            reading.slips += slips;
        } else if !EMPTY.contains(&word.as_str()) {
            reading.unknown += 1;
        }
    }
    reading
}

/// Words of a heading in small letters without accents; digits stand alone.
pub fn split(heading: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut word = String::new();
    let mut before = ' ';
    for c in heading.chars().take(200) {
        let breaks = !c.is_alphanumeric() || c.is_numeric() != before.is_numeric() || (c.is_uppercase() && before.is_lowercase());
        if breaks && !word.is_empty() {
            words.push(std::mem::take(&mut word));
        }
        if c.is_alphanumeric() {
            for small in c.to_lowercase() {
                fold(small, &mut word);
            }
        }
        before = c;
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
}

/// Appends a letter without its accent.
fn fold(c: char, into: &mut String) {
    if c == 'ß' {
        into.push('s');
    }
    into.push(match c {
        'ä' | 'á' | 'à' | 'â' | 'ã' | 'å' => 'a',
        'é' | 'è' | 'ê' | 'ë' => 'e',
        'í' | 'ì' | 'î' | 'ï' => 'i',
        'ö' | 'ó' | 'ò' | 'ô' | 'õ' => 'o',
        'ü' | 'ú' | 'ù' | 'û' => 'u',
        'ñ' => 'n',
        'ç' => 'c',
        'ß' => 's',
        other => other,
    });
}

/// What a word means, and how many slips were forgiven. `so_far` are the notions of the words before it.
fn meaning(word: &str, so_far: Notions) -> Option<(Notions, u32)> {
    if let Some(notions) = exact(word) {
        return Some((notions, 0));
    }
    if let Some(notions) = compound(word, 0) {
        return Some((notions, 0));
    }
    // "run time" is the one pair of short words worth a slip: a misspelt "time" after "run" can be nothing else.
    if so_far & RUN != 0 && word.len() == 4 && distance_at_most("time", word, 1) {
        return Some((TIME, 1));
    }
    let allowed = match word.len() {
        0..5 => return None,
        5..9 => 1,
        _ => 2,
    };
    WORDS.iter().find(|(known, _)| known.len() >= 5 && distance_at_most(known, word, allowed)).map(|(_, notions)| (*notions, 1))
}

fn exact(word: &str) -> Option<Notions> {
    WORDS.iter().find(|(known, _)| *known == word).map(|(_, notions)| *notions)
}

/// A word made of known words of three letters or more.
fn compound(word: &str, depth: u32) -> Option<Notions> {
    if depth > 4 || word.len() < 3 {
        return None;
    }
    WORDS.iter().filter(|(known, _)| known.len() >= 3 || *known == "ol").find_map(|(known, notions)| {
        let rest = word.strip_prefix(known)?;
        if rest.is_empty() {
            return (depth > 0).then_some(*notions);
        }
        exact(rest).filter(|_| rest.len() >= 3).or_else(|| compound(rest, depth + 1)).map(|more| more | notions)
    })
}

/// Whether `left` becomes `right` by at most `most` insertions, deletions, replacements or swaps of neighbours.
fn distance_at_most(left: &str, right: &str, most: usize) -> bool {
    let (left, right) = (left.as_bytes(), right.as_bytes());
    if left.len().abs_diff(right.len()) > most {
        return false;
    }
    let mut two_before: Vec<usize> = Vec::new();
    let mut before: Vec<usize> = (0..=right.len()).collect();
    for (i, a) in left.iter().enumerate() {
        let mut now = vec![i + 1];
        for (j, b) in right.iter().enumerate() {
            let mut best = (before[j] + usize::from(a != b)).min(before[j + 1] + 1).min(now[j] + 1);
            if i > 0 && j > 0 && *a == right[j - 1] && left[i - 1] == *b {
                best = best.min(two_before[j - 1] + 1);
            }
            now.push(best);
        }
        two_before = std::mem::replace(&mut before, now);
    }
    before.last().is_some_and(|&distance| distance <= most)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_in_any_dress() {
        for (heading, notions) in [
            ("COOLANT_TEMPERATURE", COOLANT | TEMPERATURE),
            ("coolantTemp", COOLANT | TEMPERATURE),
            ("Kühlmitteltemperatur", COOLANT | TEMPERATURE),
            ("Coolent Temprature", COOLANT | TEMPERATURE),
            ("Öltemperatur", OIL | TEMPERATURE),
            ("Motordrehzahl", ENGINE | ROTATION),
            ("Température liquide de refroidissement", TEMPERATURE | COOLANT),
            ("ENGINE_RUN_TINE", ENGINE | RUN | TIME),
        ] {
            assert_eq!(read(heading).notions, notions, "{heading}");
        }
        assert_eq!(read("ECT2").number, Some(2));
        assert_eq!(read("Catalyst bank 1").number, None);
    }
}
