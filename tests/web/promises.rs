//! What every answer promises: headers, a page that holds, and that nothing of a visitor becomes markup.

use crate::journeys::{ambiguous, checked};
use crate::visitor::{HOST, Served, Visitor, field, hold, sample};
use wellbled::web::Limits;

/// Addresses of every kind, also of what is not there.
const ADDRESSES: [&str; 13] = [
    "/",
    "/runs",
    "/runs?vehicle=nobody",
    "/compare",
    "/plan",
    "/try",
    "/help",
    "/enter",
    "/assets/page.css",
    "/assets/page.js",
    "/assets/icon.svg",
    "/nowhere",
    "/check/0123",
];

#[tokio::test]
async fn every_answer_carries_the_headers_that_bind_a_browser() {
    let mut visitor = Served::new().visitor();
    for address in ADDRESSES {
        let answer = visitor.get(address).await;
        for (name, value) in [
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "same-origin"),
            ("cache-control", "no-store"),
            ("x-frame-options", "DENY"),
            ("cross-origin-resource-policy", "same-origin"),
            ("cross-origin-opener-policy", "same-origin"),
        ] {
            assert_eq!(answer.header(name), value, "{name} of {address}");
        }
        let policy = answer.header("content-security-policy");
        assert!(
            policy.starts_with("default-src 'none'") && policy.contains("frame-ancestors 'none'") && !policy.contains("unsafe"),
            "{address}: {policy}"
        );
        assert!(answer.headers.contains_key("content-type") || answer.status == 303, "{address}");
    }
}

#[tokio::test]
async fn every_page_holds_and_an_address_that_is_none_helps() {
    let mut visitor = Served::new().visitor();
    for address in ADDRESSES.iter().filter(|address| !address.starts_with("/assets/") && **address != "/enter") {
        hold(&visitor.get(address).await.text);
    }
    let nowhere = visitor.get("/nowhere").await;
    assert_eq!(nowhere.status, 404);
    assert!(nowhere.text.contains("Where to go from here") && nowhere.text.contains("href=\"/help\""));
    assert_eq!(visitor.get("/check/0123").await.status, 410);
}

#[tokio::test]
async fn style_and_script_fetch_nothing() {
    let mut visitor = Served::new().visitor();
    for address in ["/assets/page.css", "/assets/page.js"] {
        let text = visitor.page(address).await;
        for word in ["http:", "https:", "@import", "url(", "innerHTML", "eval(", "document.write", "insertAdjacentHTML"] {
            assert!(!text.contains(word), "{word} in {address}");
        }
    }
}

/// Markup in every place where a visitor can put text.
#[tokio::test]
async fn text_never_becomes_markup() {
    const EVIL: &str = "<img src=x onerror=alert(1)>\"'><script>alert(1)</script>";
    let served = Served::new();
    let mut visitor = served.visitor();
    let log =
        String::from_utf8(sample("bakery-van/log.csv")).unwrap().replace("Vehicle speed (km/h)", "<script>alert(1)</script> speed (km/h)");
    let notes = format!("occasion,reading,note\ncold before,42 mm,\"{}\"\n", EVIL.replace('"', "\"\""));
    let file = format!("{EVIL}.csv");
    let parts = [
        ("log", Some(file.as_str()), log.as_bytes()),
        ("notes", Some(EVIL), notes.as_bytes()),
        field("v_name", EVIL),
        field("v_rating", EVIL),
    ];
    let address = visitor.post("/check", &parts).await.leads_to();
    let mut pages = vec![visitor.get(&address).await.text];
    visitor.post(&format!("{address}/stated"), &[field("v_name", EVIL)]).await.leads_to();
    for page in ["", "/columns", "/stated", "/report", "/summary?ask=%3Cscript%3Ealert(1)%3C/script%3E&odometer=1km"] {
        pages.push(visitor.page(&format!("{address}{page}")).await);
    }
    let kept = visitor.post(&format!("{address}/keep"), &[]).await.leads_to();
    let id = kept.trim_start_matches("/runs/").split('?').next().unwrap();
    for page in
        [kept.clone(), format!("/runs/{id}/judgings/1"), "/runs".to_owned(), "/".to_owned(), "/compare".to_owned(), "/plan".to_owned()]
    {
        pages.push(visitor.page(&page).await);
    }
    let evil = "%3Cscript%3Ealert(1)%3C%2Fscript%3E%22%27";
    for page in [
        format!("/runs?vehicle={evil}"),
        format!("/runs/{evil}"),
        format!("/check/{evil}"),
        format!("/compare?earlier={evil}&later=x"),
        format!("/plan?go=1&capacity={evil}&wanted={evil}&vehicle_known={evil}"),
        format!("/runs/{id}?cold_after={evil}&kept={evil}"),
        format!("/{evil}"),
    ] {
        pages.push(visitor.get(&page).await.text);
    }
    let other =
        visitor.post("/check", &[("log", Some("x<b>.csv"), ambiguous().replace("temp 1", "temp <b>1</b>").as_bytes())]).await.leads_to();
    pages.push(visitor.get(&other).await.text);
    let told = visitor.get(&format!("/level?occasion=added&text={evil}")).await;
    assert_eq!(told.header("content-type"), "application/json", "what is no page is not taken for one");
    for page in pages {
        for word in ["<script>alert", "<img", "<b>1", "x<b>", "\"'>"] {
            assert!(!page.contains(word), "{word} in {page}");
        }
    }
}

/// A browser on a network without the key sees the question for it and nothing else; with it everything; and the key is good once.
#[tokio::test]
async fn on_a_network_the_key_lets_one_device_in() {
    let served = Served::with(Limits::default(), HOST, true);
    let mut visitor = served.visitor();
    for address in ["/", "/runs", "/help", "/check/0123", "/nowhere"] {
        let answer = visitor.get(address).await;
        assert_eq!(answer.status, 401, "{address}");
        hold(&answer.text);
        assert!(answer.text.contains("id=\"key\"") && !answer.text.contains("Kept runs"), "{address}");
    }
    assert_eq!(visitor.post("/check", &[field("cold_before", "42 mm")]).await.status, 401);
    let wrong = visitor.post("/enter", &[field("key", "2222-2222-2222")]).await;
    assert_eq!(wrong.status, 401);
    assert!(wrong.text.contains("this is not the key"));
    let key = served.keys.lock().unwrap()[0].clone();
    assert_eq!(visitor.post("/enter", &[field("key", &key.replace('-', " "))]).await.leads_to(), "/");
    hold(&visitor.page("/").await);
    let address = checked(&mut visitor, "bakery-van").await;
    assert_eq!(visitor.get(&address).await.status, 200);

    let mut second: Visitor = served.visitor();
    assert_eq!(second.post("/enter", &[field("key", &key)]).await.status, 401, "a key lets one device in");
    assert_eq!(second.get(&address).await.status, 401);
    let next = served.keys.lock().unwrap()[1].clone();
    assert_eq!(second.post("/enter", &[field("key", &next)]).await.leads_to(), "/");
}
