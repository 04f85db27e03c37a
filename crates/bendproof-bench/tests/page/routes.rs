//! Every address of the bench, asked in process: what it answers, what it
//! refuses, and what each answer carries.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::client::{HOST, ask, bench, bench_over, encoded, form, get, post, post_json};
use crate::support::{FakeDesk, NUMBER};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use bendproof_bench::{BODY_KIB_MAX, Settings, router};
use serde_json::Value;
use tower::ServiceExt;

const PAGES: [&str; 21] = [
    "/procedures",
    "/procedure/WP-3",
    "/procedure/WP-3?code=moon",
    "/procedure/WP-3/ask?do=ask",
    "/welder/tomas?on=2030-05-01",
    "/welder/tomas/ask?do=ask",
    "/coupon/0231/codes",
    "/coupon/0231/history",
    "/finder",
    "/",
    "/coupon/0231",
    "/coupon/0231/section",
    "/coupon/0231/window",
    "/welders",
    "/welder/tomas",
    "/welder/ines",
    "/rule/invented.bend.single",
    "/about",
    "/patterns",
    "/who?back=/welders",
    "/nowhere",
];

#[tokio::test]
async fn every_page_answers_with_its_guard_headers() {
    let bench = bench();
    let mut ids = BTreeSet::new();
    for path in PAGES {
        let page = get(&bench, path).await;
        let expected = if path == "/nowhere" { StatusCode::NOT_FOUND } else { StatusCode::OK };
        assert_eq!(page.status, expected, "{path}");
        let policy = page.header("content-security-policy");
        assert!(policy.contains("default-src 'none'") && !policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(page.header("x-content-type-options"), "nosniff");
        assert_eq!(page.header("cache-control"), "no-store", "{path}");
        assert!(ids.insert(page.header("x-request-id").to_owned()), "request ids repeat");
        assert!(page.text.starts_with("<!DOCTYPE html>"), "{path}");
    }
}

#[tokio::test]
async fn every_page_has_its_json_twin() {
    let bench = bench();
    for path in PAGES.into_iter().filter(|path| !path.starts_with("/who") && *path != "/nowhere") {
        let page = get(&bench, path).await.text;
        let (_, rest) = page.split_once("<link rel=\"alternate\" type=\"application/json\" href=\"").unwrap();
        let twin = get(&bench, rest.split('"').next().unwrap()).await;
        assert_eq!(twin.status, StatusCode::OK, "{path}");
        assert!(twin.header("content-type").starts_with("application/json"));
        assert!(!twin.json().is_null());
    }
    assert_eq!(get(&bench, "/coupon/0231.json").await.json()["sheet"]["number"], NUMBER);
}

#[tokio::test]
async fn embedded_files_are_served_by_their_type() {
    let bench = bench();
    let page = get(&bench, "/").await.text;
    let wanted: BTreeSet<&str> =
        page.split("\"/web/").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    assert!(wanted.len() >= 7, "{wanted:?}");
    for name in wanted.into_iter().chain(["save.js", "morph.js", "rule.js", "strap.js", "words.js"]) {
        let file = get(&bench, &format!("/web/{name}")).await;
        assert_eq!(file.status, StatusCode::OK, "{name}");
        let expected = match name.rsplit('.').next() {
            Some("css") => "text/css",
            Some("js") => "text/javascript",
            _ => "image/svg+xml",
        };
        assert!(file.header("content-type").starts_with(expected), "{name}");
    }
    let font = get(&bench, "/web/BarlowCondensed-Medium.woff2").await;
    assert_eq!((font.status, font.header("content-type")), (StatusCode::OK, "font/woff2"));
    assert_eq!(get(&bench, "/web/..%2fCargo.toml").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn unknown_things_are_absent_in_both_tongues() {
    let bench = bench();
    for path in [
        "/coupon/9999",
        "/welder/nobody",
        "/rule/no.such",
        "/coupon/9999/file/pdf",
        "/coupon/0231/file/exe",
        "/welder/nobody/record",
    ] {
        let page = get(&bench, path).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{path}");
        assert!(page.text.contains("Page not found"), "{path}");
    }
    let twin = get(&bench, "/coupon/9999.json").await;
    assert_eq!(twin.status, StatusCode::NOT_FOUND);
    let error = &twin.json()["error"];
    assert_eq!(error["code"], "absent");
    assert_eq!(error["request_id"], twin.header("x-request-id"));
    assert_eq!(
        post_json(&bench, "/coupon/9999/preview", &[("fit.form", "pipe")]).await.status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(get(&bench, "/coupon/0231/change").await.status, StatusCode::METHOD_NOT_ALLOWED);
}

#[tokio::test]
async fn a_plain_form_keeps_what_was_changed_and_goes_back() {
    let bench = bench();
    let pairs = [
        ("version", "1"),
        ("token", "t1"),
        ("fit.thickness", "1/2 in"),
        ("was:fit.thickness", "3/8 in"),
        ("fit.form", "plate"),
        ("was:fit.form", "plate"),
    ];
    let answer = post(&bench, "/coupon/0231/change", &pairs).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/coupon/0231"));
    let now = get(&bench, "/coupon/0231.json").await.json();
    assert_eq!(now["version"], 2);
    assert_eq!(now["history"][0]["words"], "fit.thickness set to 1/2 in");
    assert_eq!(now["history"][0]["who"], "nobody");
    // Nothing changed is nothing kept.
    let untouched = [("version", "2"), ("fit.form", "plate"), ("was:fit.form", "plate")];
    assert_eq!(post(&bench, "/coupon/0231/change", &untouched).await.status, StatusCode::SEE_OTHER);
    assert_eq!(get(&bench, "/coupon/0231.json").await.json()["version"], 2);
}

#[tokio::test]
async fn a_script_gets_the_bands_and_a_repeat_is_kept_once() {
    let bench = bench();
    let pairs = [("version", "1"), ("token", "same"), ("fit.root_face", "1/8 in")];
    for _ in 0..2 {
        let answer = post_json(&bench, "/coupon/0231/change", &pairs).await;
        assert_eq!(answer.status, StatusCode::OK);
        let body = answer.json();
        assert_eq!(body["version"], 2);
        let bands = body["fragments"].as_object().unwrap();
        for id in ["sheet-head", "sheet-version", "sheet-ways", "op-10", "op-40", "op-90"] {
            let html = bands[id].as_str().unwrap();
            assert!(html.contains(&format!("id=\"{id}\"")), "{id}");
        }
        assert!(bands["op-40"].as_str().unwrap().contains("0.8 mm short"));
    }
}

/// What a page or an answer says it shows, as its script sends it back.
fn have(prints: &Value) -> String {
    let pairs = prints.as_object().unwrap().iter();
    pairs.map(|(id, print)| format!("{id}:{}", print.as_str().unwrap())).collect::<Vec<_>>().join(" ")
}

#[tokio::test]
async fn a_save_sends_back_only_the_pieces_that_changed() {
    let bench = bench();
    let page = get(&bench, "/coupon/0231").await.text;
    let prints = page.split("data-prints=\"").nth(1).unwrap().split('"').next().unwrap();
    let prints: Value = serde_json::from_str(&prints.replace("&quot;", "\"")).unwrap();
    let shown = have(&prints);
    let names =
        |body: &Value| body["fragments"].as_object().unwrap().keys().cloned().collect::<BTreeSet<_>>();
    let whole = post_json(&bench, "/coupon/0231/change", &[("version", "1")]).await.json();
    assert_eq!(names(&whole).len(), prints.as_object().unwrap().len());
    let kept = [("version", "1"), ("token", "a"), ("have", shown.as_str()), ("fit.form", "pipe")];
    let saved = post_json(&bench, "/coupon/0231/change", &kept).await.json();
    let expected = ["op-10", "op-40", "op-90", "sheet-version"].map(str::to_owned);
    assert_eq!(names(&saved), expected.into(), "the fit, what follows from it, the history and the version");
    // What the page shows now is the old pieces with the new ones over them.
    let mut now = prints.clone();
    for (id, print) in saved["prints"].as_object().unwrap() {
        now[id] = print.clone();
    }
    let again = post_json(&bench, "/coupon/0231/preview", &[("have", &have(&now))]).await.json();
    assert!(names(&again).is_empty(), "{:?}", names(&again));
    // A conflict is whole, so that taking theirs undoes what was typed.
    let stale = [("version", "1"), ("token", "b"), ("have", shown.as_str()), ("fit.form", "plate")];
    let conflict = post_json(&bench, "/coupon/0231/change", &stale).await.json();
    assert_eq!(names(&conflict), names(&whole));
}

#[tokio::test]
async fn a_long_list_is_shown_page_by_page_and_searched_by_a_plain_form() {
    let mut desk = FakeDesk::new();
    desk.more_coupons = 250;
    let bench = bench_over(desk);
    let rows = |page: &str| page.matches("class=\"cover\"").count();
    let first = get(&bench, "/").await.text;
    let all = get(&bench, "/coupons.json").await.json().as_array().unwrap().len();
    assert_eq!(rows(&first), 100);
    assert!(first.contains(&format!("1 to 100 of {all}")) && first.contains("href=\"/?page=2\""));
    let last = get(&bench, "/?page=999").await.text;
    assert!(last.contains(&format!("201 to {all} of {all}")), "a page too far is the last");
    assert!(!last.contains("page=4") && last.contains("href=\"/coupons.json?page=3\""));
    assert_eq!(get(&bench, "/coupons.json?page=2").await.json().as_array().unwrap().len(), 100);
    let found = get(&bench, "/?find=9007").await.text;
    assert!(rows(&found) == 1 && found.contains("value=\"9007\"") && found.contains("Show all"));
    let none = get(&bench, "/?find=%3Cb%3E").await.text;
    assert!(rows(&none) == 0 && none.contains("No match. Use fewer words") && !none.contains("<b>"));
    // A short list has neither.
    let short = get(&crate::client::bench(), "/").await.text;
    assert!(!short.contains("class=\"pager\"") && !short.contains("class=\"find\""));
}

#[tokio::test]
async fn a_long_answer_goes_out_compressed_where_the_client_reads_that() {
    let bench = bench();
    let asked = |path: &str, encoding: &str| {
        let request = Request::get(path).header(header::HOST, HOST).header(header::ACCEPT_ENCODING, encoding);
        request.body(Body::empty()).unwrap()
    };
    let plain = bench.clone().oneshot(asked("/coupon/0231", "identity")).await.unwrap();
    assert!(plain.headers().get(header::CONTENT_ENCODING).is_none());
    let plain = to_bytes(plain.into_body(), 8 << 20).await.unwrap().len();
    let packed = bench.clone().oneshot(asked("/coupon/0231", "gzip")).await.unwrap();
    assert_eq!(packed.headers()[header::CONTENT_ENCODING], "gzip");
    let packed = to_bytes(packed.into_body(), 8 << 20).await.unwrap().len();
    assert!(packed * 4 < plain, "{packed} of {plain}");
    for path in ["/nowhere.json", "/coupon/0231/file/pdf", "/web/BarlowCondensed-Medium.woff2"] {
        let answer = bench.clone().oneshot(asked(path, "gzip")).await.unwrap();
        assert!(answer.headers().get(header::CONTENT_ENCODING).is_none(), "{path}");
    }
}

#[tokio::test]
async fn a_preview_shows_and_keeps_nothing() {
    let bench = bench();
    let answer = post_json(&bench, "/coupon/0231/preview", &[("fit.root_face", "1/8 in")]).await;
    let body = answer.json();
    assert!(body["fragments"]["sheet-head"].as_str().unwrap().contains("root likely lost"));
    assert!(body["fragments"]["op-90"].is_null(), "a preview has no history of its own");
    assert_eq!(get(&bench, "/coupon/0231.json").await.json()["version"], 1);
}

#[tokio::test]
async fn a_stale_version_is_a_conflict_that_keeps_what_was_typed() {
    let bench = bench();
    post(&bench, "/coupon/0231/change", &[("version", "1"), ("token", "a"), ("fit.form", "pipe")]).await;
    let stale = [("version", "1"), ("token", "b"), ("fit.thickness", "7/16 in")];
    let page = post(&bench, "/coupon/0231/change", &stale).await;
    assert_eq!(page.status, StatusCode::CONFLICT);
    for part in [
        "fit.form set to pipe",
        "value=\"7/16 in\"",
        ">thickness</label>",
        "name=\"version\" value=\"2\"",
        "Overwrite with my values",
        "Discard my changes",
    ] {
        assert!(page.text.contains(part), "{part}");
    }
    let answer = post_json(&bench, "/coupon/0231/change", &stale).await;
    assert_eq!(answer.status, StatusCode::CONFLICT);
    let body = answer.json();
    assert_eq!(body["error"]["code"], "conflict");
    assert_eq!(body["version"], 2);
    assert_eq!(body["since"][0]["words"], "fit.form set to pipe");
    assert!(body["fragments"]["op-10"].is_string());
    // Mine on top: the same text on the version just seen.
    let on_top = [("version", "2"), ("token", "c"), ("fit.thickness", "7/16 in")];
    assert_eq!(post_json(&bench, "/coupon/0231/change", &on_top).await.json()["version"], 3);
}

#[tokio::test]
async fn what_cannot_be_kept_is_refused_with_findings() {
    let bench = bench();
    let wrong = [("version", "1"), ("token", "a"), ("fit.moon", "1 in")];
    let page = post(&bench, "/coupon/0231/change", &wrong).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text.contains("fit.moon is not a value of this sheet"));
    // What was typed is still in its box, ready to be sent again.
    assert!(page.text.contains("name=\"fit.moon\" value=\"1 in\""));
    let error = post_json(&bench, "/coupon/0231/change", &wrong).await.json();
    assert_eq!(error["error"]["findings"][0]["path"], "fit.moon");
    for pairs in [vec![("fit.form", "pipe")], vec![("version", "x"), ("fit.form", "pipe")]] {
        assert_eq!(
            post(&bench, "/coupon/0231/change", &pairs).await.status,
            StatusCode::UNPROCESSABLE_ENTITY
        );
    }
    for pairs in [vec![("version", "1")], vec![("version", "1"), ("row", "moon:add")]] {
        assert_eq!(post(&bench, "/coupon/0231/row", &pairs).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    }
    assert_eq!(get(&bench, "/coupon/0231.json").await.json()["version"], 1);
}

#[tokio::test]
async fn rows_come_and_go_and_are_taken_back() {
    let bench = bench();
    let add = [("version", "1"), ("row", "opening:2:add"), ("row.x", "4.0 mm"), ("row.y", "-3.0 mm")];
    assert_eq!(post_json(&bench, "/coupon/0231/row", &add).await.json()["version"], 2);
    let opening = get(&bench, "/coupon/0231.json").await.json()["sheet"]["straps"][1]["openings"][0].clone();
    assert_eq!((opening["x_mm"].as_f64(), opening["y_mm"].as_f64()), (Some(4.0), Some(-3.0)));
    // Without scripts the button sends the whole form: what was typed is kept too.
    let both = [
        ("version", "2"),
        ("token", "x"),
        ("fit.form", "pipe"),
        ("was:fit.form", "plate"),
        ("row", "pass:add"),
    ];
    assert_eq!(post(&bench, "/coupon/0231/change", &both).await.status, StatusCode::SEE_OTHER);
    let now = get(&bench, "/coupon/0231.json").await.json();
    assert_eq!(now["version"], 4);
    assert_eq!(now["sheet"]["passes"].as_array().unwrap().len(), 6);
    assert_eq!(post(&bench, "/coupon/0231/undo", &[("version", "4")]).await.status, StatusCode::SEE_OTHER);
    assert_eq!(get(&bench, "/coupon/0231.json").await.json()["sheet"]["passes"].as_array().unwrap().len(), 5);
    assert_eq!(post(&bench, "/coupon/0231/undo", &[("version", "4")]).await.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn the_name_goes_with_each_change() {
    let bench = bench();
    let unnamed = get(&bench, "/coupon/0231").await.text;
    assert!(unnamed.contains("Your name?"));
    let set = post(&bench, "/who", &[("who", " Zoë Quill "), ("back", "/coupon/0231")]).await;
    assert_eq!((set.status, set.header("location")), (StatusCode::SEE_OTHER, "/coupon/0231"));
    let cookie = set.header("set-cookie").to_owned();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"));
    let pair = cookie.split(';').next().unwrap();
    let body = encoded(&[("version", "1"), ("token", "a"), ("fit.form", "pipe")]);
    ask(&bench, form("/coupon/0231/change").header(header::COOKIE, pair).body(body).unwrap()).await;
    assert_eq!(get(&bench, "/coupon/0231.json").await.json()["history"][0]["who"], "Zoë Quill");
    assert_eq!(post(&bench, "/who", &[("who", "  ")]).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    let away = post(&bench, "/who", &[("who", "A"), ("back", "//evil.example")]).await;
    assert_eq!(away.header("location"), "/");
}

#[tokio::test]
async fn the_look_is_kept() {
    let bench = bench();
    let set = post(&bench, "/look", &[("look", "steel"), ("back", "/about")]).await;
    assert_eq!(set.header("location"), "/about");
    let pair = set.header("set-cookie").split(';').next().unwrap().to_owned();
    let request = Request::get("/about").header(header::HOST, HOST).header(header::COOKIE, pair);
    let page = ask(&bench, request.body(Body::empty()).unwrap()).await;
    assert!(page.text.contains("data-look=\"steel\""));
}

#[tokio::test]
async fn starting_a_coupon_leads_to_its_sheet() {
    let bench = bench();
    let answer = post(&bench, "/coupon", &[("template", "plate")]).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/coupon/0231"));
    assert_eq!(post_json(&bench, "/coupon", &[("template", "plate")]).await.status, StatusCode::CREATED);
    assert_eq!(post(&bench, "/coupon", &[("template", "moon")]).await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_double_press_carries_one_token_and_a_fresh_page_another() {
    let desk = Arc::new(FakeDesk::new());
    let bench = router(Arc::clone(&desk) as Arc<dyn bendproof_bench::Desk>, Settings::default());
    let shown = async || {
        let page = get(&bench, "/").await.text;
        page.split("name=\"token\" value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned()
    };
    let (one, two) = (shown().await, shown().await);
    for (token, template) in [(&one, "plate"), (&one, "plate"), (&one, "blank"), (&two, "plate")] {
        post(&bench, "/coupon", &[("template", template), ("token", token)]).await;
    }
    post(&bench, "/coupon", &[("template", "plate")]).await;
    let tokens = desk.tokens();
    assert_eq!(tokens[0], tokens[1]);
    assert_eq!(tokens[..4].iter().collect::<BTreeSet<_>>().len(), 3, "{tokens:?}");
    assert_eq!(tokens[4], "", "a program that sends none makes one each time");
}

#[tokio::test]
async fn files_come_with_safe_names_and_failures_in_words() {
    let bench = bench();
    let file = get(&bench, "/coupon/0231/file/pdf").await;
    assert_eq!(file.header("content-type"), "application/pdf");
    assert_eq!(file.header("content-disposition"), "attachment; filename=\"0231.pdf\"");
    assert!(file.text.starts_with("%PDF"));
    assert_eq!(get(&bench, "/welder/odile/record").await.status, StatusCode::OK);
    assert_eq!(get(&bench, "/welder/odile/record?coupon=0231").await.status, StatusCode::OK);
    let full = get(&bench, "/coupon/0231/file/toml").await;
    assert_eq!(full.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert!(full.text.contains("The disk is full"));
}

#[tokio::test]
async fn the_sheet_leads_to_its_section_and_leaves_room_for_it() {
    let page = get(&bench(), "/coupon/0231").await.text;
    assert!(page.contains("<a href=\"/coupon/0231/section\">"), "without a script there is a way");
    assert!(page.contains("data-section=\"/coupon/0231/section\" data-held"));
    // Its boxes belong to a form that does not stand inside the sheet's.
    let (sheet, rest) = page.split_once("</form>").unwrap();
    assert!(!sheet.contains("id=\"section-form\"") && rest.contains("id=\"section-form\""));
}

#[tokio::test]
async fn a_section_says_that_it_is_computed_and_follows_what_is_asked() {
    let bench = bench();
    let page = get(&bench, "/coupon/0231/section?bead=2&frame=3&at=1.5%2C-2&at=3%2C4").await;
    assert_eq!(page.status, StatusCode::OK);
    for part in [
        "computed, not measured",
        "<option value=\"2\" selected>bead 2, fill</option>",
        "max=\"4\" step=\"1\" value=\"3\"",
        "name=\"at\" form=\"section-form\" value=\"1.50,-2.00\"",
        "/coupon/0231/section/file/csv?bead=2&amp;at=1.50%2C-2.00&amp;at=3.00%2C4.00",
        "Remove thermocouple B",
    ] {
        assert!(page.text.contains(part), "{part} is missing");
    }
    let part =
        post_json(&bench, "/coupon/0231/section", &[("bead", "1"), ("x", "2"), ("y", "3")]).await.json();
    assert_eq!(part["solved"], true);
    assert!(part["html"].as_str().unwrap().contains("value=\"2.00,3.00\""));
    let film = get(&bench, "/coupon/0231/section/film?bead=1&frame=2&at=1%2C1").await.json();
    assert_eq!((&film["frame"], &film["frames"]), (&2.into(), &5.into()));
    let file = get(&bench, "/coupon/0231/section/file/csv?bead=2&at=1%2C1").await;
    assert!(file.header("content-disposition").contains("section-0231.csv"));
    assert_eq!(file.text, "{\"bead\":2,\"places\":1}");
}

#[tokio::test]
async fn a_measured_curve_is_laid_over_or_refused_in_words_and_never_kept() {
    let bench = bench();
    let laid =
        post(&bench, "/coupon/0231/section", &[("at", "1,1"), ("measured", "t_s,T_C\n0,900\n5,500")]).await;
    assert_eq!(laid.status, StatusCode::OK);
    assert!(laid.text.contains("2 readings") && !laid.text.contains("role=\"alert\""));
    let bad = post(
        &bench,
        "/coupon/0231/section",
        &[("measured", "0,900\n<b>5</b>,hot"), ("x", "far"), ("y", "1")],
    )
    .await;
    assert!(bad.text.contains("line 2: `&lt;b&gt;5&lt;/b&gt;,hot` is not two numbers"), "the line is named");
    assert!(bad.text.contains("far, 1") && !bad.text.contains("<b>5</b>"));
    assert!(bad.text.contains("It is not saved"));
    assert!(!get(&bench, "/coupon/0231/section").await.text.contains("hot"));
}

#[tokio::test]
async fn a_section_that_is_not_known_says_why() {
    let bench = bench();
    let page = get(&bench, "/coupon/0231/section?bead=9").await.text;
    assert!(page.contains("unknown") && page.contains("no section is solved for &lt;SMAW&gt;"));
    assert!(!page.contains("section-etch"), "no picture stands in for it");
    for path in ["/coupon/9999/section", "/coupon/9999/section.json", "/coupon/0231/section/file/exe"] {
        assert_eq!(get(&bench, path).await.status, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test]
async fn an_oversized_body_is_refused_before_it_is_read() {
    let bench = bench();
    let text = "x".repeat((BODY_KIB_MAX + 1) * 1024);
    let answer = post_json(&bench, "/coupon/0231/change", &[("version", "1"), ("head.title", &text)]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(answer.json()["error"]["code"], "too_large");
    let long = "x".repeat(5_000);
    let answer = post(&bench, "/coupon/0231/change", &[("version", "1"), ("head.title", &long)]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let body = Body::from("not a form");
    let odd = Request::post("/coupon/0231/change").header(header::HOST, HOST).body(body).unwrap();
    assert_eq!(ask(&bench, odd).await.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn foreign_hosts_and_origins_are_refused() {
    let bench = bench();
    let from = |host: &str| Request::get("/").header(header::HOST, host).body(Body::empty()).unwrap();
    for host in ["evil.example", "127.0.0.1.evil.example:4187", ""] {
        assert_eq!(ask(&bench, from(host)).await.status, StatusCode::MISDIRECTED_REQUEST, "{host}");
    }
    for host in ["localhost:9", "LOCALHOST:4187", "[::1]:4187", "127.0.0.1"] {
        assert_eq!(ask(&bench, from(host)).await.status, StatusCode::OK, "{host}");
    }
    let own = router(Arc::new(FakeDesk::new()), Settings { hosts: vec!["bay".into()], run: String::new() });
    assert_eq!(ask(&own, from("Bay:80")).await.status, StatusCode::OK);
    let pairs = [("version", "1"), ("token", "a"), ("fit.form", "pipe")];
    for (name, value, expected) in [
        ("origin", "http://evil.example", StatusCode::FORBIDDEN),
        ("origin", "null", StatusCode::FORBIDDEN),
        ("origin", "http://127.0.0.1:9999", StatusCode::FORBIDDEN),
        ("sec-fetch-site", "cross-site", StatusCode::FORBIDDEN),
        ("sec-fetch-site", "same-origin", StatusCode::SEE_OTHER),
        ("origin", "http://127.0.0.1:4187", StatusCode::SEE_OTHER),
    ] {
        let request = form("/coupon/0231/change").header(name, value).body(encoded(&pairs)).unwrap();
        assert_eq!(ask(&bench, request).await.status, expected, "{name}: {value}");
    }
}

#[tokio::test]
async fn hostile_text_stays_text() {
    let bench = bench();
    let hostile = "\"><script>alert(1)</script><img src=x onerror=alert(1)>'";
    let pairs = [("version", "1"), ("token", "a"), ("head.title", hostile), ("fit.mismatch", hostile)];
    assert_eq!(post(&bench, "/coupon/0231/change", &pairs).await.status, StatusCode::SEE_OTHER);
    post(&bench, "/coupon/0231/change", &[("version", "1"), ("token", "b"), ("x\"><script>", "y")]).await;
    let mut pages = vec![get(&bench, "/coupon/0231").await.text];
    let stale = [("version", "1"), ("token", "b"), ("\"><script>alert(1)</script>", hostile)];
    pages.push(post(&bench, "/coupon/0231/change", &stale).await.text);
    for page in pages {
        assert!(page.contains("&lt;script&gt;alert(1)"));
        assert!(!page.contains("<script>") && !page.contains("<img"), "hostile text became markup");
        check_markup("hostile", &page);
    }
}

#[tokio::test]
async fn a_name_that_only_stands_on_a_coupon_is_entered_by_one_press() {
    let bench = bench();
    let page = get(&bench, "/welders").await.text;
    assert!(page.contains("not in the list yet") && page.contains("Add Bram Okafor"));
    assert_eq!(page.matches("not in the list yet").count(), 1, "who is on the list is not missing");
    let press = "<input type=\"hidden\" name=\"name\" value=\"Bram Okafor\">";
    assert!(page.contains(press));
    post(&bench, "/welder", &[("name", "Bram Okafor")]).await;
    let page = get(&bench, "/welders").await.text;
    assert!(!page.contains("not in the list yet") && page.contains(">Bram Okafor</a>"));
}

#[tokio::test]
async fn a_use_is_logged_by_a_plain_form() {
    let bench = bench();
    let page = get(&bench, "/welder/tomas").await.text;
    assert!(page.contains("action=\"/welder/tomas/use\""));
    assert!(page.contains("type=\"date\" value=\"2031-04-14\""), "today is there already");
    let used = [
        ("date", "2031-04-02"),
        ("process", "GMAW"),
        ("transfer", "spray"),
        ("evidence", "job 12, Marta Quill saw it"),
    ];
    let logged = post(&bench, "/welder/tomas/use", &used).await;
    assert_eq!((logged.status, logged.header("location")), (StatusCode::SEE_OTHER, "/welder/tomas"));
    let now = get(&bench, "/welder/tomas.json").await.json();
    assert_eq!(now["continuity"][1]["label"], "2031-04-02");
    assert_eq!(now["continuity"][1]["value"], "GMAW spray: job 12, Marta Quill saw it");
    let twin = post_json(&bench, "/welder/tomas/use", &used).await;
    assert_eq!((twin.status, twin.json()["row"]["id"].as_str()), (StatusCode::CREATED, Some("tomas")));
    assert_eq!(post(&bench, "/welder/nobody/use", &used).await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_use_refused_keeps_what_was_typed_next_to_what_is_wrong() {
    let bench = bench();
    let wrong = [("date", "2031-04-15"), ("process", "laser"), ("transfer", "spray"), ("evidence", "  ")];
    let page = post(&bench, "/welder/tomas/use", &wrong).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    check_markup("refused use", &page.text);
    for part in [
        "type=\"date\" value=\"2031-04-15\"",
        "<option value=\"laser\" selected>laser</option>",
        "<option value=\"spray\" selected>spray</option>",
        "date: 2031-04-15 is not up to 2031-04-14",
        "process: laser is not one of",
        "aria-describedby=\"enter-evidence-hint enter-evidence-error\"",
    ] {
        assert!(page.text.contains(part), "{part}");
    }
    let error = post_json(&bench, "/welder/tomas/use", &wrong).await.json();
    let paths: Vec<&str> =
        error["error"]["findings"].as_array().unwrap().iter().map(|f| f["path"].as_str().unwrap()).collect();
    assert_eq!(paths, ["date", "process", "evidence"]);
    let now = get(&bench, "/welder/tomas.json").await.json();
    assert_eq!(now["continuity"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn hostile_people_stay_text_and_foreign_pages_enter_nobody() {
    let bench = bench();
    let hostile = "\"><script>alert(1)</script><img src=x onerror=alert(1)>'";
    assert_eq!(post(&bench, "/welder", &[("name", hostile)]).await.status, StatusCode::SEE_OTHER);
    let used = [("date", "2031-04-01"), ("process", "SMAW"), ("evidence", hostile)];
    assert_eq!(post(&bench, "/welder/w4/use", &used).await.status, StatusCode::SEE_OTHER);
    let wrong = [("date", hostile), ("process", hostile), ("transfer", hostile), ("evidence", hostile)];
    let pages = [
        get(&bench, "/welders").await.text,
        get(&bench, "/welder/w4").await.text,
        get(&bench, "/coupon/0231").await.text,
        post(&bench, "/welder/w4/use", &wrong).await.text,
        post(&bench, "/welder", &[("name", hostile), ("stamp", hostile)]).await.text,
    ];
    for page in pages {
        assert!(page.contains("&lt;script&gt;alert(1)"));
        assert!(!page.contains("<script>") && !page.contains("<img"), "hostile text became markup");
        check_markup("hostile people", &page);
    }
    for path in ["/welder", "/welder/tomas/use"] {
        let request = form(path).header("origin", "http://evil.example");
        let answer = ask(&bench, request.body(encoded(&[("name", "Mallory")])).unwrap()).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path}");
    }
    assert_eq!(get(&bench, "/welders.json").await.json().as_array().unwrap().len(), 4);
}

#[tokio::test]
async fn a_row_sent_again_is_added_once() {
    let bench = bench();
    let add = [("version", "1"), ("token", "same"), ("row", "pass:add")];
    for _ in 0..2 {
        let answer = post(&bench, "/coupon/0231/row", &add).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
    }
    let now = get(&bench, "/coupon/0231.json").await.json();
    assert_eq!((now["version"].as_u64(), now["sheet"]["passes"].as_array().unwrap().len()), (Some(2), 6));
    // Another row from the same old page is another wish, made on an old version.
    let other = [("version", "1"), ("token", "same"), ("row", "log:add")];
    assert_eq!(post(&bench, "/coupon/0231/row", &other).await.status, StatusCode::CONFLICT);
}

/// Each examination has its fields, its flaws, its findings and its buttons, and
/// what is asked for and was not examined is said.
#[tokio::test]
async fn other_examinations_stand_under_the_straps() {
    let page = get(&bench(), "/coupon/0231").await.text;
    let (_, exams) = page.split_once("class=\"exams\"").unwrap();
    let exams = &exams[..exams.find("</section>").unwrap()];
    assert!(exams.contains("Required, not yet examined") && exams.contains("1 tension"));
    for name in ["tension.1.strength", "nick_break.1.flaws.1.length"] {
        assert!(exams.contains(&format!("name=\"{name}\"")), "{name}");
        assert!(exams.contains(&format!("name=\"was:{name}\"")), "{name}");
    }
    for row in [
        "piece:tension:add",
        "piece:hardness:add",
        "piece:tension:remove:1",
        "flaw:nick_break:1:add",
        "flaw:nick_break:1:remove:1",
    ] {
        assert!(exams.contains(&format!("value=\"{row}\"")), "{row}");
    }
    assert!(exams.contains("strength is not given"));
    // A piece whose rows hold no list has nothing to look for.
    assert!(!exams.contains("name=\"tension.1.flaws\""));
    let more = page.split_once("More readings, required by some codes").unwrap().1;
    assert!(more.contains("name=\"visual.overlap\""));
}

#[tokio::test]
async fn what_a_bead_was_planned_with_stands_under_its_line() {
    let page = get(&bench(), "/coupon/0231").await.text;
    let (_, log) = page.split_once("class=\"grid log-grid\"").unwrap();
    let log = &log[..log.find("</table>").unwrap()];
    assert!(!log.contains("<th class=\"figure\""), "no further columns");
    assert_eq!(log.matches("<tr class=\"under\"").count(), 2);
    let heads = log.matches("role=\"columnheader\"").count();
    assert!(log.contains(&format!("aria-colspan=\"{heads}\"")));
    assert!(log.contains("forecast current"));
}

#[tokio::test]
async fn markup_is_balanced_labelled_and_free_of_inline_code() {
    let bench = bench();
    for path in PAGES {
        check_markup(path, &get(&bench, path).await.text);
    }
}

/// One tag of a page, enough to check its bones.
struct Tag {
    name: String,
    attributes: BTreeMap<String, String>,
    is_close: bool,
    is_self_closed: bool,
}

fn tags(page: &str) -> Vec<Tag> {
    page.split('<')
        .skip(1)
        .filter(|rest| !rest.starts_with('!'))
        .map(|rest| {
            let mut inside_quotes = false;
            let end = rest.find(|c| {
                inside_quotes ^= c == '"';
                c == '>' && !inside_quotes
            });
            let text = &rest
                [..end.unwrap_or_else(|| panic!("a tag without an end: {}", &rest[..rest.len().min(60)]))];
            let is_close = text.starts_with('/');
            let is_self_closed = text.ends_with('/');
            let text = text.trim_matches('/');
            let (name, mut rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
            let mut attributes = BTreeMap::new();
            while let Some((key, after)) = rest.split_once("=\"") {
                let (value, after) = after.split_once('"').expect("an attribute without an end");
                let key = key.split_whitespace().last().unwrap();
                assert!(attributes.insert(key.to_owned(), value.to_owned()).is_none(), "{key} twice");
                rest = after;
            }
            Tag { name: name.to_owned(), attributes, is_close, is_self_closed }
        })
        .collect()
}

pub(crate) fn check_markup(path: &str, page: &str) {
    const VOID: [&str; 4] = ["meta", "link", "input", "br"];
    let tags = tags(page);
    let mut open: Vec<&str> = Vec::new();
    let mut ids = BTreeSet::new();
    for tag in &tags {
        if tag.is_close {
            assert_eq!(open.pop(), Some(tag.name.as_str()), "{path}: wrong end");
        } else if !tag.is_self_closed && !VOID.contains(&tag.name.as_str()) {
            open.push(&tag.name);
        }
        if let Some(id) = tag.attributes.get("id") {
            assert!(ids.insert(id.clone()), "{path}: id {id} twice");
        }
        assert!(!tag.attributes.contains_key("style"), "{path}: inline style on {}", tag.name);
        assert!(!tag.attributes.keys().any(|key| key.starts_with("on")), "{path}: inline handler");
    }
    assert!(open.is_empty(), "{path}: left open {open:?}");
    let labelled: BTreeSet<&String> =
        tags.iter().filter(|tag| tag.name == "label").filter_map(|tag| tag.attributes.get("for")).collect();
    for tag in tags.iter().filter(|tag| !tag.is_close) {
        let is_box = tag.name == "select"
            || tag.name == "input" && tag.attributes.get("type").map(String::as_str) != Some("hidden");
        let is_named = tag.attributes.contains_key("aria-label")
            || tag.attributes.get("id").is_some_and(|id| labelled.contains(id));
        assert!(!is_box || is_named, "{path}: a box without a name {:?}", tag.attributes);
        for key in ["for", "aria-labelledby", "aria-describedby"] {
            for id in tag.attributes.get(key).into_iter().flat_map(|ids| ids.split_whitespace()) {
                assert!(ids.contains(id), "{path}: {key} points at no {id}");
            }
        }
    }
    let headings: Vec<u32> = tags
        .iter()
        .filter(|tag| !tag.is_close && tag.name.len() == 2)
        .filter_map(|tag| tag.name.strip_prefix('h').and_then(|n| n.parse().ok()))
        .collect();
    assert_eq!(headings.iter().filter(|level| **level == 1).count(), 1, "{path}: one h1");
    assert!(
        headings.windows(2).all(|pair| pair[1] <= pair[0] + 1),
        "{path}: a heading is skipped {headings:?}"
    );
}

#[tokio::test]
async fn each_rule_says_its_three_voices_and_each_item_its_source() {
    let bench = bench();
    let page = get(&bench, "/coupon/0231").await.text;
    let spoken = "aria-valuetext=\"1/8 inch, 3.2 mm, model: OK, typical range: within\"";
    assert!(page.contains(spoken));
    for name in
        ["root opening", "left root edge", "groove area", "bends", "thickness", "largest 1/16 in of 1/8 in"]
    {
        assert!(page.contains(&format!("aria-label=\"Source of {name}\"")), "{name}");
    }
    assert!(page.contains("from memory: check your code book"));
    assert!(page.contains("href=\"/rule/invented.bend.single\""));
}

#[tokio::test]
async fn a_rule_is_shown_as_one_edition_has_it_with_the_others_too() {
    let bench = bench();
    let page = get(&bench, "/rule/invented.bend.single?code=2029").await.text;
    assert!(page.contains("invented code 2029, clause 4.2"));
    assert!(page.contains("href=\"/rule/invented.bend.single.json?code=2029\""));
    assert!(page.contains("href=\"/rule/invented.bend.single?code=2029\"") && page.contains("clause: 3.9"));
    assert!(page.contains("Test bay, this shop") && page.contains("the same"));
    let twin = get(&bench, "/rule/invented.bend.single.json?code=2029").await.json();
    assert_eq!(twin["editions"][0]["code"], "2029");
}

#[test]
fn colours_are_named_in_one_place() {
    for (name, text) in [
        ("page.css", include_str!("../../web/page.css")),
        ("sheet.css", include_str!("../../web/sheet.css")),
        ("rule.css", include_str!("../../web/rule.css")),
    ] {
        for (number, line) in text.lines().enumerate() {
            let is_hex = line.split('#').skip(1).any(|rest| {
                let digits = rest.chars().take_while(char::is_ascii_hexdigit).count();
                let next = rest.chars().nth(digits);
                [3, 4, 6, 8].contains(&digits) && !next.is_some_and(|c| c.is_alphanumeric() || c == '-')
            });
            let is_function = line.contains("rgb(") || line.contains("hsl(");
            assert!(!is_hex && !is_function, "{name}:{}: {line}", number + 1);
        }
    }
}

#[tokio::test]
async fn the_sheet_says_under_the_stamp_which_reading_settles_most() {
    let page = get(&bench(), "/coupon/0231").await.text;
    let head = &page[page.find("class=\"sheet-stamp\"").unwrap()..];
    let stamp = &head[..head.find("</header>").unwrap()];
    assert!(
        stamp.contains("Read the amps at the wire speed: the chance would then be 41 to 93 %"),
        "{stamp}"
    );
}

#[tokio::test]
async fn the_stamp_is_a_bar_and_few_words_and_what_it_leaves_out_stands_under_it() {
    let page = get(&bench(), "/coupon/0231").await.text;
    let head = &page[page.find("class=\"sheet-stamp\"").unwrap()..];
    let head = &head[..head.find("</header>").unwrap()];
    let stamp = &head[..head.find("</p>").unwrap()];
    assert!(stamp.contains("class=\"vbar holds\"") && stamp.ends_with("likely to hold"), "{stamp}");
    assert!(head.contains("<p class=\"stamp-note\">provisional: 51 to 85 % once solved</p>"), "{head}");
}

#[tokio::test]
async fn every_bar_on_the_way_down_the_sheet_has_its_word_next_to_it() {
    let page = get(&bench(), "/coupon/0231").await.text;
    let ways = &page[page.find("class=\"ops\"").unwrap()..];
    let ways = &ways[..ways.find("</nav>").unwrap()];
    let bars = ways.matches("class=\"vbar").count();
    assert!(bars > 0 && ways.matches("class=\"op-word\"").count() == bars, "{ways}");
    assert_eq!(ways.matches("class=\"op-name\"").count(), 9);
}

#[tokio::test]
async fn no_style_hides_a_word_next_to_a_bar_and_no_stamp_is_told_apart_by_color() {
    for name in ["sheet.css", "print.css", "page.css", "section.css", "window.css"] {
        let text = get(&bench(), &format!("/web/{name}")).await.text;
        for rule in text.split('}') {
            let (selector, style) = rule.rsplit_once('{').unwrap_or_default();
            let is_word =
                [".line-word", ".op-name", ".op-word", ".tie-word"].iter().any(|w| selector.contains(w));
            assert!(!(is_word && style.contains("display: none")), "{name}: {rule}");
            let is_stamp = selector.contains(".stamp");
            assert!(!(is_stamp && style.contains("accent")), "{name}: {rule}");
        }
    }
    let sheet = get(&bench(), "/web/sheet.css").await.text;
    let frame = |class: &str| {
        let start = sheet.find(&format!("\n.stamp{class} {{")).unwrap_or_else(|| panic!("{class}"));
        sheet[start..].split("border").nth(1).unwrap().split(';').next().unwrap().to_owned()
    };
    let frames = ["", ".marginal", ".fails", ".not-known"].map(frame);
    assert!(frames.iter().enumerate().all(|(n, one)| !frames[n + 1..].contains(one)), "{frames:?}");
}
