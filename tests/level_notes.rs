//! Level notes: what may stand in the table, what it comes to, and what is refused, with the way out.

use chrono::{NaiveDate, NaiveTime};
use proptest::prelude::*;
use wellbled::ingest::levels::{self, LevelsError};
use wellbled::run::{LevelReading, NoteTime, Occasion, ReadingUnit};

fn read(text: &str) -> Vec<LevelReading> {
    levels::read(text.as_bytes()).unwrap_or_else(|error| panic!("{text}\n{error}"))
}

/// Reading and unit of the only row under the heading `occasion,reading`.
fn one(occasion: &str, reading: &str) -> (f64, ReadingUnit) {
    let levels = read(&format!("occasion\treading\n{occasion}\t{reading}\n"));
    (levels[0].reading, levels[0].unit)
}

fn refused(text: &str) -> LevelsError {
    match levels::read(text.as_bytes()) {
        Ok(levels) => panic!("{text}\nread as {levels:?}"),
        Err(error) => error,
    }
}

fn bare(occasion: Occasion, reading: f64, unit: ReadingUnit) -> LevelReading {
    LevelReading { time: NoteTime::Order, occasion, reading, unit, ambient: None, cap_opened: None, method: None, note: String::new() }
}

const WHOLE: &str = "\
time,occasion,reading,unit,ambient,cap,method,note
2026-03-02T06:10,drained,6.4,L,,opened,,\"brown, no particles\"
2026-03-02T07:05,filled,6.1,L,12 degC,opened,maker's,
2026-03-02T07:38,cold before,42,mm,12 degC,closed,,
2026-03-02T08:31,hot after drive,51,mm,,closed,,from outside
2026-03-02T17:40,cold after,39,mm,59 degF,closed,,
,topped up,150,mL,,opened,,to the mark
,pressure test start,110,kPa,,,,
,pressure test end,108,kPa,,,,
";

#[test]
fn a_file_with_every_column_and_every_occasion() {
    let levels = read(WHOLE);
    let rows: Vec<(Occasion, f64, ReadingUnit)> = levels.iter().map(|level| (level.occasion, level.reading, level.unit)).collect();
    assert_eq!(
        rows,
        [
            (Occasion::Drained, 6400.0, ReadingUnit::Millilitre),
            (Occasion::Filled, 6100.0, ReadingUnit::Millilitre),
            (Occasion::ColdBefore, 42.0, ReadingUnit::Millimetre),
            (Occasion::HotAfterDrive, 51.0, ReadingUnit::Millimetre),
            (Occasion::ColdAfter, 39.0, ReadingUnit::Millimetre),
            (Occasion::ToppedUp, 150.0, ReadingUnit::Millilitre),
            (Occasion::PressureTestStart, 110.0, ReadingUnit::Kilopascal),
            (Occasion::PressureTestEnd, 108.0, ReadingUnit::Kilopascal),
        ]
    );
    let moment = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap().and_hms_opt(6, 10, 0).unwrap();
    assert_eq!(levels[0].time, NoteTime::Full(moment));
    assert_eq!((levels[0].note.as_str(), levels[0].cap_opened), ("brown, no particles", Some(true)));
    assert_eq!((levels[1].ambient, levels[1].method.as_deref()), (Some(12.0), Some("maker's")));
    assert_eq!((levels[2].cap_opened, levels[2].method.as_deref()), (Some(false), None));
    assert_eq!(levels[4].ambient, Some(15.0), "59 °F");
    assert_eq!((levels[5].time, levels[6].cap_opened), (NoteTime::Order, None));
}

#[test]
fn two_columns_in_any_order_are_enough() {
    let expected = [bare(Occasion::ColdBefore, 42.0, ReadingUnit::Millimetre), bare(Occasion::ColdAfter, 39.0, ReadingUnit::Millimetre)];
    for text in [
        "occasion,reading\ncold before,42 mm\ncold after,39mm\n",
        "reading,occasion\n42 mm,cold before\n39 mm,cold after",
        "Unit;Reading;Occasion\nmm;42;Cold_Before\nMM;39;COLD AFTER\n",
        "occasion\treading\tunit\ncold-before\t42.0\tmm\ncold  after\t39\tmm\n",
        "\u{feff}occasion,reading,unit\r\ncold before,42,mm\r\ncold after,39,mm\r\n",
        "occasion,reading,unit\rcold before,42,mm\rcold after,39,mm\r",
        "sep=;\noccasion;reading;;\ncold before;42 mm;;\n;;;\ncold after;39 mm\n",
        "# notes of the day\n\noccasion,reading\n# at the yard\ncold before,42 mm\n\ncold after,39 mm\n",
        "\"occasion\";\"reading\"\n\"cold before\";\"42,0 mm\"\n\"cold after\";\"39,0 mm\"\n",
        "occasion,reading\ncold before,\"42,0 mm\"\ncold after,\"39,0 mm\"\n",
    ] {
        assert_eq!(read(text), expected, "{text}");
    }
}

#[test]
fn the_encodings_that_spreadsheets_write() {
    let text = "occasion,reading,ambient,method\nfilled,6.1 L,18 °C,maker’s\n";
    let expected = read(text);
    assert_eq!((expected[0].ambient, expected[0].method.as_deref()), (Some(18.0), Some("maker's")));
    let utf16: Vec<u8> = [0xFF, 0xFE].into_iter().chain(text.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    assert_eq!(levels::read(&utf16), Ok(expected.clone()));
    let utf16: Vec<u8> = [0xFE, 0xFF].into_iter().chain(text.encode_utf16().flat_map(u16::to_be_bytes)).collect();
    assert_eq!(levels::read(&utf16), Ok(expected.clone()));
    // Windows-1252 holds ° at B0 and ’ at 92.
    let windows: Vec<u8> = text.chars().map(|c| if c == '’' { 0x92 } else { u8::try_from(u32::from(c)).unwrap() }).collect();
    assert_eq!(levels::read(&windows), Ok(expected));
}

/// NIST SP 811: inch 25.4 mm, US fluid ounce 29.573 53 mL, quart 32 and gallon 128 of them, psi 6.894 757 kPa.
#[test]
fn every_unit_becomes_one_of_five() {
    for (occasion, text, expected, unit) in [
        ("cold before", "42 mm", 42.0, ReadingUnit::Millimetre),
        ("cold before", "4,2 cm", 42.0, ReadingUnit::Millimetre),
        ("cold before", "1.5 in", 38.1, ReadingUnit::Millimetre),
        ("cold before", "1.5\"", 38.1, ReadingUnit::Millimetre),
        ("cold before", "-3 mm", -3.0, ReadingUnit::Millimetre),
        ("cold before", "650 mL", 650.0, ReadingUnit::Millilitre),
        ("cold before", "40 %", 40.0, ReadingUnit::Percent),
        ("cold before", "0.5 marks", 0.5, ReadingUnit::Marks),
        ("cold before", "−0.2 marks", -0.2, ReadingUnit::Marks),
        ("topped up", "5 fl oz", 147.867_647_812_5, ReadingUnit::Millilitre),
        ("drained", "6.5 qt", 6_151.294_149, ReadingUnit::Millilitre),
        ("filled", "1.6 gal", 6_056.658_854_4, ReadingUnit::Millilitre),
        ("filled", "6.1 L", 6_100.0, ReadingUnit::Millilitre),
        ("pressure test start", "16 psi", 110.316_112, ReadingUnit::Kilopascal),
        ("pressure test end", "1.1 bar", 110.0, ReadingUnit::Kilopascal),
    ] {
        let (reading, found) = one(occasion, text);
        assert!(found == unit && (reading - expected).abs() < 1e-6, "{text}: {reading} {found:?}");
    }
}

#[test]
fn a_decimal_comma_is_read_and_a_separator_of_thousands_is_asked_about() {
    assert_eq!(one("filled", "6,1 L").0, 6100.0);
    assert_eq!(read("occasion;reading\nfilled;6,125 L\n")[0].reading, 6125.0, "a file with semicolons has decimal commas");
    assert_eq!(read("occasion,reading\nfilled,6.125 L\n")[0].reading, 6125.0);
    for text in ["occasion,reading\nfilled,\"6,125 mL\"\n", "occasion;reading\nfilled;6.125 mL\n", "occasion;reading\nfilled;6.125,5 mL\n"]
    {
        let error = refused(text);
        assert!(error.to_string().contains("line 2, column `reading`: `6"), "{error}");
        assert!(error.hint().contains("thousands"), "{}", error.hint());
    }
    // Without quotation marks the comma cuts the reading in two: the rest stands under no heading, or is no unit.
    assert!(matches!(refused("occasion,reading\nfilled,6,1 L\n"), LevelsError::NoHeading { line: 2, .. }));
    assert!(refused("occasion,reading,unit\nfilled,6,1 L\n").to_string().contains("`1 L`"));
}

#[test]
fn the_unit_may_stand_in_the_text_in_its_column_or_in_both_alike() {
    assert_eq!(read("occasion,reading,unit\ncold before,42 mm,mm\n")[0].reading, 42.0);
    assert_eq!(read("occasion,reading,unit\ncold before,42 mm,MM\n")[0].reading, 42.0);
    let error = refused("occasion,reading,unit\ncold before,42 mm,mL\n");
    assert!(error.to_string().contains("says `mm`") && error.to_string().contains("says `mL`"), "{error}");
}

#[test]
fn times_are_iso_8601_or_clock_times_or_left_out() {
    let time = |text: &str| read(&format!("time,occasion,reading\n{text},cold before,42 mm\n"))[0].time;
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    for text in
        ["2026-03-02T07:41:10", "2026-03-02 07:41:10", "2026-03-02T07:41:10Z", "2026-03-02T07:41:10+01:00", "2026-03-02T07:41:10.000-0500"]
    {
        assert_eq!(time(text), NoteTime::Full(day.and_hms_opt(7, 41, 10).unwrap()), "{text}");
    }
    for text in ["07:41", "7:41", "07:41:00", "7:41 AM", "07:41:00.000"] {
        assert_eq!(time(text), NoteTime::OfDay(NaiveTime::from_hms_opt(7, 41, 0).unwrap()), "{text}");
    }
    assert_eq!(time("7:41 pm"), NoteTime::OfDay(NaiveTime::from_hms_opt(19, 41, 0).unwrap()));
    assert_eq!(time(""), NoteTime::Order);
    // Day and month could be swapped; a date alone is no time.
    for text in ["02/03/2026 07:41", "02.03.2026", "2026-03-02", "25:00", "morning"] {
        let error = refused(&format!("time,occasion,reading\n{text},cold before,42 mm\n"));
        assert!(error.to_string().contains(&format!("line 2, column `time`: `{text}`")), "{error}");
        assert!(error.hint().contains("07:41"), "{}", error.hint());
    }
}

#[test]
fn rows_keep_their_order_also_where_they_contradict_each_other() {
    let levels =
        read("time,occasion,reading\n09:00,cold after,39 mm\n07:00,cold before,42 mm\n07:00,cold before,45 mm\n07:00,cold before,45 mm\n");
    assert_eq!(levels.iter().map(|level| level.reading).collect::<Vec<_>>(), [39.0, 42.0, 45.0, 45.0]);
}

/// A mistyped heading or a row that is cut wrongly would be a lost reading.
#[test]
fn nothing_is_passed_over() {
    let error = refused("occasion,raeding\ncold before,42 mm\n");
    assert!(error.to_string().contains("line 1: `raeding`"), "{error}");
    assert!(error.hint().contains("time, occasion, reading, unit, ambient, cap, method, note"), "{}", error.hint());

    let error = refused("\n\ntime,occasion\n,cold before\n");
    assert_eq!(error.to_string(), "level notes, line 3: there is no column `reading` (found: time, occasion)");

    assert!(matches!(refused("occasion,reading,reading\ncold before,42 mm,43 mm\n"), LevelsError::RepeatedColumn { line: 1, .. }));
    assert!(matches!(refused("occasion,reading\ncold before,42 mm,dry\n"), LevelsError::NoHeading { line: 2, .. }));

    // The quotation mark left open would swallow the next row.
    let error = refused("occasion,reading,note\ncold before,42 mm,\"dry\n\ncold after,39 mm,\"wet\"\n");
    assert!(matches!(&error, LevelsError::LineBreak { line: 2, .. }), "{error}");
    assert!(error.hint().contains("quotation mark"));
}

#[test]
fn every_error_names_line_column_and_text() {
    let heading = "time,occasion,reading,unit,ambient,cap,method,note\n# a comment\n\n";
    for (row, column, was_there, way_out) in [
        (",,42,mm,,,,", "occasion", "no occasion", "hot after drive"),
        (",cold,42,mm,,,,", "occasion", "`cold`", "cold before"),
        (",cold before,,mm,,,,", "reading", "no reading", "remove the row"),
        (",cold before,MAX,mm,,,,", "reading", "`MAX`", "mm"),
        (",cold before,42,,,,,", "reading", "`42` has no unit", "marks"),
        (",cold before,42,furlong,,,,", "reading", "`furlong`", "mm"),
        (",cold before,42,kPa,,,,", "reading", "kPa", "a level"),
        (",drained,42,mm,,,,", "reading", "mm", "a volume"),
        (",pressure test end,1,L,,,,", "reading", "mL", "a pressure"),
        (",cold before,140,%,,,,", "reading", "`140`", "between 0 and 100 %"),
        (",filled,-6,L,,,,", "reading", "`-6`", "between 0"),
        (",filled,6100,L,,,,", "reading", "`6100`", "200000 mL"),
        (",cold before,42,mm,18,,,", "ambient", "`18` has no unit", "degC"),
        (",cold before,42,mm,180 degC,,,", "ambient", "`180 degC`", "air"),
        (",cold before,42,mm,,tight,,", "cap", "`tight`", "closed"),
        (",filled,6,L,,,siphon,", "method", "`siphon`", "vacuum"),
    ] {
        let error = refused(&format!("{heading}{row}\n"));
        let message = error.to_string();
        assert!(message.starts_with(&format!("level notes, line 4, column `{column}`")), "{row}: {message}");
        assert!(message.contains(was_there), "{row}: {message}");
        assert!(error.hint().contains(way_out), "{row}: {}", error.hint());
    }
    assert!(refused(&format!("{heading},cold before,{} mm,,,,,\n", "9".repeat(400))).to_string().contains("line 4"));
}

#[test]
fn what_is_no_table_is_refused() {
    assert_eq!(refused(""), LevelsError::Empty);
    assert_eq!(refused("\n# only a comment\n;;;\n"), LevelsError::Empty);
    assert_eq!(levels::read(&[0; 1000]), Err(LevelsError::NotText { line: 1 }));
    assert!(matches!(levels::read(&vec![b'a'; levels::LARGEST_FILE + 1]), Err(LevelsError::TooLarge { .. })));
    assert!(matches!(refused("it was full in the morning\n"), LevelsError::UnknownColumn { .. }));
    assert_eq!(read("occasion,reading\n"), [], "a heading alone holds no readings and is no error");
}

#[test]
fn a_reading_may_be_stated_by_itself() {
    assert_eq!(levels::quick(Occasion::ColdBefore, "42mm"), Ok(bare(Occasion::ColdBefore, 42.0, ReadingUnit::Millimetre)));
    assert_eq!(levels::quick(Occasion::ToppedUp, " 0,15 L "), Ok(bare(Occasion::ToppedUp, 150.0, ReadingUnit::Millilitre)));
    assert_eq!(levels::quick(Occasion::HotAfterDrive, "80%"), Ok(bare(Occasion::HotAfterDrive, 80.0, ReadingUnit::Percent)));
    let error = levels::quick(Occasion::ColdBefore, "42").unwrap_err();
    assert_eq!(error.to_string(), "the reading \"cold before\": `42` has no unit");
    assert!(error.hint().contains("mm"));
    assert!(levels::quick(Occasion::ColdBefore, "").is_err());
    assert!(levels::quick(Occasion::ColdBefore, "110 kPa").is_err());
}

#[test]
fn what_is_written_is_read_back() {
    let levels = read(WHOLE);
    assert_eq!(read(&levels::write(&levels)), levels);
    assert!(
        levels::write(&levels)
            .starts_with("time,occasion,reading,unit,ambient,cap,method,note\n2026-03-02T06:10:00,drained,6400,mL,,opened,,\"brown, no")
    );
    assert_eq!(read(&levels::write(&[])), []);
}

fn any_level() -> impl Strategy<Value = LevelReading> {
    let time = prop_oneof![
        Just(NoteTime::Order),
        (0_u32..86_400, 0_u32..1000)
            .prop_map(|(s, ms)| NoteTime::OfDay(NaiveTime::from_num_seconds_from_midnight_opt(s, ms * 1_000_000).unwrap())),
        (0_i64..4_000_000_000).prop_map(|s| NoteTime::Full(chrono::DateTime::from_timestamp(s, 0).unwrap().naive_utc())),
    ];
    let level = prop_oneof![Just(Occasion::ColdBefore), Just(Occasion::HotAfterDrive), Just(Occasion::ColdAfter), Just(Occasion::ToppedUp)];
    let reading = prop_oneof![
        (level.clone(), -1000.0..1000.0).prop_map(|(occasion, value)| (occasion, value, ReadingUnit::Millimetre)),
        (level.clone(), 0.0..100.0).prop_map(|(occasion, value)| (occasion, value, ReadingUnit::Percent)),
        (level, -10.0..10.0).prop_map(|(occasion, value)| (occasion, value, ReadingUnit::Marks)),
        (0.0..200_000.0).prop_map(|value| (Occasion::Filled, value, ReadingUnit::Millilitre)),
        (-100.0..1000.0).prop_map(|value| (Occasion::PressureTestEnd, value, ReadingUnit::Kilopascal)),
    ];
    let method = prop_oneof![Just(None), Just(Some("gravity")), Just(Some("vacuum")), Just(Some("maker's"))];
    (time, reading, prop::option::of(-60.0..60.0), any::<Option<bool>>(), method, "\\PC{0,20}").prop_map(
        |(time, (occasion, reading, unit), ambient, cap_opened, method, note)| LevelReading {
            time,
            occasion,
            reading,
            unit,
            ambient,
            cap_opened,
            method: method.map(str::to_owned),
            note: note.trim().to_owned(),
        },
    )
}

proptest! {
    #[test]
    fn any_notes_are_read_back_to_the_last_digit(notes in prop::collection::vec(any_level(), 0..8)) {
        let text = levels::write(&notes);
        prop_assert_eq!(levels::read(text.as_bytes()), Ok(notes), "{}", text);
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = levels::read(&bytes);
    }

    #[test]
    fn no_table_makes_it_panic(cells in prop::collection::vec("[0-9.,;:+\\-−°%a-zTZ \"\n\t]{0,12}", 0..24)) {
        let heading = levels::COLUMNS.join(",");
        let rows: Vec<String> = cells.chunks(8).map(|row| row.join(",")).collect();
        let _ = levels::read(format!("{heading}\n{}", rows.join("\n")).as_bytes());
        for cell in &cells {
            let _ = levels::quick(Occasion::ColdBefore, cell);
        }
    }
}
