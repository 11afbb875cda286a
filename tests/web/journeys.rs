//! From the first visit to the verdict, and on: columns corrected, levels added, kept, compared, planned, tried out.

use crate::visitor::{Served, Visitor, field, hold, sample};
use wellbled::check::{Beside, Checked};
use wellbled::ingest;
use wellbled::vehicle::Vehicle;

/// A log in which two columns could be the coolant's.
pub fn ambiguous() -> String {
    let row = |second: i32| {
        format!("{second},{:.1},{:.1},{}\n", 20.0 + 0.1 * f64::from(second), 30.0 + 0.05 * f64::from(second), 800 + second % 50)
    };
    format!("time,temp 1,temp 2,rpm\n{}", (0..700).map(row).collect::<String>())
}

/// A story's log with its notes and vehicle, checked.
pub async fn checked(visitor: &mut Visitor, story: &str) -> String {
    let [log, notes, vehicle] = ["log.csv", "levels.csv", "vehicle.toml"].map(|file| sample(&format!("{story}/{file}")));
    let parts =
        [("log", Some("log.csv"), &log[..]), ("notes", Some("levels.csv"), &notes), ("vehicle_file", Some("vehicle.toml"), &vehicle)];
    visitor.post("/check", &parts).await.leads_to()
}

#[tokio::test]
async fn a_first_visit_ends_at_the_verdict_that_the_command_line_gives() {
    let served = Served::new();
    let mut visitor = served.visitor();
    hold(&visitor.page("/").await);
    for (story, verdict) in [("bakery-van", "pass"), ("launch-truck", "recheck"), ("trapped-air", "recheck")] {
        let address = checked(&mut visitor, story).await;
        let page = visitor.page(&address).await;
        hold(&page);
        let mut run = ingest::read(&sample(&format!("{story}/log.csv")), "log.csv", &ingest::Options::default()).unwrap().run;
        run.vehicle = Vehicle::from_toml(&String::from_utf8(sample(&format!("{story}/vehicle.toml"))).unwrap()).unwrap();
        run.levels = ingest::levels::read(&sample(&format!("{story}/levels.csv"))).unwrap();
        let document = Checked::of(&run, &Beside::default()).document;
        assert_eq!(document.verdict.spoken(), verdict);
        assert!(page.contains(&format!("<header id=\"result\" tabindex=\"-1\" class=\"answer {verdict}\">")), "{story}");
        let headline = wellbled::report::words::escape(&document.headline);
        assert!(page.contains(&headline), "{story}: {headline}");
        for part in ["<h2>The drive</h2>", "data-readings=", "Level account", "id=\"keep-button\""] {
            assert!(page.contains(part), "{story}: {part}");
        }
    }
}

#[tokio::test]
async fn levels_alone_are_judged_and_nothing_is_asked_for() {
    let mut visitor = Served::new().visitor();
    let vehicle =
        [("v_kind", "expansion tank"), ("v_per_mm", "12 mL"), ("v_capacity", "7,2 L"), ("v_total", "1.5 L"), ("v_max_mark", "800 mL")];
    let mut parts: Vec<_> = vehicle.iter().map(|(name, text)| field(name, text)).collect();
    parts.extend([field("cold_before", "42 mm"), field("hot_after", "47 mm"), field("cold_after", "39 mm")]);
    let address = visitor.post("/check", &parts).await.leads_to();
    let page = visitor.page(&address).await;
    hold(&page);
    assert!(page.contains("level notes") && page.contains("Level account") && !page.contains("id=\"keep-button\""));

    let nothing = visitor.post("/check", &[]).await.leads_to();
    let page = visitor.get(&nothing).await;
    assert_eq!(page.status, 422);
    assert!(page.text.contains("href=\"#log\"") && page.text.contains("there is no log and no level"), "{}", page.text);
}

#[tokio::test]
async fn two_columns_are_asked_about_and_one_tap_answers() {
    let mut visitor = Served::new().visitor();
    let address = visitor.post("/check", &[("log", Some("two.csv"), ambiguous().as_bytes())]).await.leads_to();
    let asked = visitor.get(&address).await;
    assert_eq!(asked.status, 422);
    hold(&asked.text);
    for part in [
        "type=\"radio\" id=\"column_coolant_temperature\"",
        "<strong>temp 1</strong>",
        "20.0 to 89.9",
        "value=\"#2\"",
        "href=\"#column_coolant_temperature\"",
    ] {
        assert!(asked.text.contains(part), "{part} in {}", asked.text);
    }
    let again = visitor.post(&format!("{address}/columns"), &[field("column_coolant_temperature", "#2")]).await.leads_to();
    assert_eq!(again, address, "it is held under the same number");
    let page = visitor.page(&address).await;
    assert!(page.contains("two.csv"));
    let columns = visitor.page(&format!("{address}/columns")).await;
    hold(&columns);
    assert!(columns.contains("value=\"#2\" checked"));
}

#[tokio::test]
async fn what_cannot_be_used_is_named_at_its_field_and_nothing_is_lost() {
    let mut visitor = Served::new().visitor();
    let log = sample("bakery-van/log.csv");
    let parts = [
        ("log", Some("drive.csv"), &log[..]),
        field("cold_before", "42"),
        field("v_name", "  the \"van\" & <co>  "),
        field("v_capacity", "7.2"),
    ];
    let address = visitor.post("/check", &parts).await.leads_to();
    let page = visitor.get(&address).await;
    assert_eq!(page.status, 422);
    hold(&page.text);
    for part in [
        "<a href=\"#cold_before\">Cold, before the drive: ",
        "<a href=\"#v_capacity\">Capacity of the whole system: ",
        "id=\"cold_before\" name=\"cold_before\" value=\"42\"",
        "aria-describedby=\"cold_before-hint cold_before-error\" aria-invalid=\"true\"",
        "value=\"the &quot;van&quot; &amp; &lt;co&gt;\"",
        "<strong>drive.csv</strong>",
    ] {
        assert!(page.text.contains(part), "{part} in {}", page.text);
    }
    let corrected =
        [field("cold_before", "42 mm"), field("v_name", "the \"van\" & <co>"), field("v_capacity", "7.2 L"), field("v_per_mm", "12 mL")];
    assert_eq!(visitor.post(&format!("{address}/stated"), &corrected).await.leads_to(), address);
    let page = visitor.page(&address).await;
    assert!(page.contains("the &quot;van&quot; &amp; &lt;co&gt;") && page.contains("Level account"), "the log was held meanwhile");
}

#[tokio::test]
async fn a_vehicle_is_stated_in_one_way() {
    let mut visitor = Served::new().visitor();
    let (log, vehicle) = (sample("bakery-van/log.csv"), sample("bakery-van/vehicle.toml"));
    let parts = [("log", Some("d.csv"), &log[..]), ("vehicle_file", Some("v.toml"), &vehicle), field("v_rating", "83 C")];
    let address = visitor.post("/check", &parts).await.leads_to();
    let page = visitor.get(&address).await;
    assert_eq!(page.status, 422);
    assert!(page.text.contains("stated in more than one way") && page.text.contains("<strong>v.toml</strong>"));
    visitor.post(&format!("{address}/stated"), &[field("v_rating", "83 C"), field("without_vehicle_file", "yes")]).await.leads_to();
    assert_eq!(visitor.get(&address).await.status, 200);
}

#[tokio::test]
async fn a_log_chosen_as_vehicle_file_is_noticed() {
    let mut visitor = Served::new().visitor();
    let log = sample("bakery-van/log.csv").repeat(3);
    let address = visitor.post("/check", &[("log", Some("d.csv"), &log), ("vehicle_file", Some("d.csv"), &log)]).await.leads_to();
    let page = visitor.get(&address).await;
    assert_eq!(page.status, 422);
    assert!(page.text.contains("href=\"#vehicle_file\"") && page.text.contains("so it is no vehicle file"), "{}", page.text);
}

#[tokio::test]
async fn a_run_is_kept_found_again_and_judged_again_with_a_later_reading() {
    let served = Served::new();
    let mut visitor = served.visitor();
    let address = checked(&mut visitor, "bakery-van").await;
    let kept = visitor.post(&format!("{address}/keep"), &[]).await.leads_to();
    let id = kept.trim_start_matches("/runs/").split('?').next().unwrap().to_owned();
    assert_eq!(served.archive.open(&id).unwrap().judgings.len(), 1);
    let page = visitor.page(&kept).await;
    hold(&page);
    assert!(page.contains("This run is kept.") && page.contains("Judgings, as they were kept"));
    assert!(visitor.post(&format!("{address}/keep"), &[]).await.leads_to().ends_with("?kept=already"));

    let list = visitor.page("/runs").await;
    hold(&list);
    assert!(list.contains(&format!("href=\"/runs/{id}\"")) && list.contains("href=\"/runs?vehicle=the%20bakery%27s%20van\""), "{list}");
    hold(&visitor.page("/runs?vehicle=The%20Bakery%27s%20Van").await);
    assert!(visitor.page("/").await.contains(&format!("<option value=\"{id}\">the bakery&#39;s van</option>")), "it is known from now on");

    let wrong = visitor.post(&format!("/runs/{id}/levels"), &[field("cold_after", "39")]).await;
    assert_eq!(wrong.status, 422);
    hold(&wrong.text);
    assert!(wrong.text.contains("href=\"#cold_after\"") && wrong.text.contains("value=\"39\""));
    let added = visitor.post(&format!("/runs/{id}/levels"), &[field("cold_after", "39 mm")]).await.leads_to();
    hold(&visitor.page(&added).await);
    let opened = served.archive.open(&id).unwrap();
    assert_eq!(opened.judgings.len(), 2);
    assert_eq!(opened.judgings[1].levels.len(), opened.judgings[0].levels.len() + 1);
    let first = visitor.page(&format!("/runs/{id}/judgings/1")).await;
    hold(&first);
    assert!(first.contains("PASS"), "the earlier judging is as it was kept");
    for page in ["report", "summary?odometer=128400km&ask=the+yard"] {
        let whole = visitor.page(&format!("/runs/{id}/{page}")).await;
        assert!(whole.contains("<style>") && whole.starts_with("<!doctype html>"));
    }
}

#[tokio::test]
async fn two_kept_runs_are_compared_the_earlier_one_first() {
    let served = Served::new();
    let mut visitor = served.visitor();
    let log = String::from_utf8(sample("launch-truck/log.csv")).unwrap();
    let later = log.replace("2026-02-21", "2026-02-22");
    assert_ne!(log, later, "its clock has dates");
    let mut ids = Vec::new();
    for log in [&log, &later] {
        let address = visitor.post("/check", &[("log", Some("drive.csv"), log.as_bytes()), field("v_name", "a truck")]).await.leads_to();
        let kept = visitor.post(&format!("{address}/keep"), &[]).await.leads_to();
        ids.push(kept.trim_start_matches("/runs/").split('?').next().unwrap().to_owned());
    }
    hold(&visitor.page("/compare").await);
    let page = visitor.page(&format!("/compare?earlier={}&later={}", ids[1], ids[0])).await;
    hold(&page);
    assert!(
        page.contains(&format!("Now: <a href=\"/runs/{}\">", ids[1])) && page.contains(&format!("Then: <a href=\"/runs/{}\">", ids[0])),
        "by their days"
    );
    assert!(page.contains("In numbers") && page.contains("data-readings="));
    let history = visitor.page("/runs?vehicle=a+truck").await;
    assert!(history.contains(&format!("/compare?earlier={}&amp;later={}", ids[0], ids[1])));
    let third = later.replace("2026-02-22", "2026-02-23");
    let parts = [("log", Some("third.csv"), third.as_bytes()), field("v_name", "A Truck"), field("against", "last")];
    let address = visitor.post("/check", &parts).await.leads_to();
    assert!(visitor.page(&address).await.contains("Against the earlier run"));
    visitor.post(&format!("{address}/keep"), &[]).await.leads_to();
    let history = visitor.page("/runs?vehicle=a+truck").await;
    hold(&history);
    assert!(history.contains("id=\"trend\""), "three runs are drawn");
}

#[tokio::test]
async fn a_plan_is_in_its_address_and_so_is_the_card() {
    let mut visitor = Served::new().visitor();
    hold(&visitor.page("/plan").await);
    let query = "go=1&capacity=7.2+L&drained=4.5+L&wanted=-30+C";
    let page = visitor.page(&format!("/plan?{query}")).await;
    hold(&page);
    assert!(page.contains("What to pour") && page.contains("Never open cap or bleed point hot"), "{page}");
    let card = page.split("id=\"card-link\" href=\"").nth(1).unwrap().split('"').next().unwrap().replace("&amp;", "&");
    assert!(visitor.page(&card).await.contains("Coolant job card"));
    for (query, field, words) in [
        ("go=1&capacity=7.2", "capacity", "has no unit"),
        ("go=1&drained=4.5+L&wanted=-30C", "capacity", "capacity is not stated"),
        ("go=1&capacity=7.2L&drained=9L&wanted=-30C", "drained", "more than the system"),
        ("go=1&capacity=7.2L&drained=4L&wanted=-30C&rounds=many", "rounds", "is no count"),
    ] {
        let page = visitor.get(&format!("/plan?{query}")).await;
        assert_eq!(page.status, 422, "{query}");
        hold(&page.text);
        assert!(page.text.contains(&format!("<a href=\"#{field}\">")) && page.text.contains(words), "{query}: {}", page.text);
        assert_eq!(visitor.get(&format!("/plan/card?{query}")).await.status, 303, "{query}");
    }
}

#[tokio::test]
async fn a_made_up_drive_is_marked_and_cannot_be_kept() {
    let served = Served::new();
    let mut visitor = served.visitor();
    hold(&visitor.page("/try").await);
    let address = visitor.post("/try", &[field("story", "trapped-air"), field("seed", "7")]).await.leads_to();
    let page = visitor.page(&address).await;
    hold(&page);
    assert!(page.contains("<strong>Made up.</strong>") && page.contains("made-up-trapped-air.csv") && !page.contains("id=\"keep-button\""));
    assert!(visitor.page(&format!("{address}/report")).await.contains("made-up-trapped-air.csv"), "the name says it on paper too");
    assert_eq!(visitor.post(&format!("{address}/keep"), &[]).await.status, 409);
    assert!(served.archive.listing().unwrap().entries.is_empty());
    for (story, seed, field_named) in [("no-such", "7", "story"), ("trapped-air", "seven", "seed")] {
        let page = visitor.post("/try", &[field("story", story), field("seed", seed)]).await;
        assert_eq!(page.status, 422);
        assert!(page.text.contains(&format!("href=\"#{field_named}\"")));
    }
}

#[tokio::test]
async fn the_customers_page_and_the_report_stand_alone_and_bring_their_look() {
    let mut visitor = Served::new().visitor();
    let address = checked(&mut visitor, "bakery-van").await;
    let summary = visitor.get(&format!("{address}/summary?odometer=128400km&ask=the+yard%2C+555-0100&units=us")).await;
    assert!(summary.text.contains("79\u{a0}783") || summary.text.contains("79,783") || summary.text.contains("mi"), "{}", summary.text);
    assert!(summary.text.contains("the yard, 555-0100"));
    for page in [summary, visitor.get(&format!("{address}/report")).await] {
        assert_eq!(page.status, 200);
        let policy = page.header("content-security-policy");
        assert!(policy.starts_with("default-src 'none'; style-src 'sha256-") && !policy.contains("unsafe"), "{policy}");
    }
    assert_eq!(visitor.get(&format!("{address}/summary?odometer=far")).await.status, 422);
}

#[tokio::test]
async fn levels_are_read_while_they_are_typed() {
    let mut visitor = Served::new().visitor();
    assert_eq!(visitor.page("/level?occasion=cold_before&text=42+mm").await, "{\"read\":true}");
    let refused: serde_json::Value = serde_json::from_str(&visitor.page("/level?occasion=added&text=150").await).unwrap();
    assert_eq!(refused["read"], false);
    assert!(refused["hint"].as_str().is_some_and(|hint| !hint.is_empty()), "{refused}");
    assert_eq!(visitor.get("/level?occasion=never&text=1").await.status, 404);
}
