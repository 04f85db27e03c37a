//! What must be known on every page: damage, the question about the clock, the
//! state of the file; and an altered record among sound ones.

use crate::client::{bench_over, get, post};
use crate::support::FakeDesk;
use axum::Router;
use axum::http::StatusCode;
use bendproof_bench::desk::Notices;

fn bench(notices: Notices) -> Router {
    let desk = FakeDesk::new();
    *desk.notices.lock().unwrap() = notices;
    bench_over(desk)
}

async fn page(bench: &Router, path: &str) -> String {
    get(bench, path).await.text
}

#[tokio::test]
async fn damage_and_the_state_of_the_file_stand_on_every_page() {
    let notices = Notices {
        warnings: vec!["coupon 0304: strap.1.id reads \"<b>\"".into()],
        clock: None,
        file: Some("Last backup 2026-11-30.".into()),
    };
    let (answer, silent) = (bench(notices), bench(Notices::default()));
    for path in ["/", "/welders", "/procedures", "/coupon/0231", "/about", "/who", "/coupon/9999", "/nowhere"]
    {
        let text = page(&answer, path).await;
        assert!(text.contains("role=\"alert\""), "{path}");
        assert!(text.contains("reads &quot;&lt;b&gt;&quot;"), "{path}");
        assert!(text.contains("Last backup 2026-11-30."), "{path}");
        let page_silent = page(&silent, path).await;
        assert!(!page_silent.contains("class=\"slip warnings\""), "{path}");
        assert!(!page_silent.contains("<footer"), "{path}");
    }
}

#[tokio::test]
async fn a_clock_is_asked_about_until_somebody_says_that_it_is_right() {
    let clock = Some("This computer's clock says 2020-01-01".to_owned());
    let bench = bench(Notices { clock, ..Notices::default() });
    let asked = page(&bench, "/coupon/0231").await;
    assert!(asked.contains("clock says 2020-01-01") && asked.contains("The clock is right"));
    let confirmed = post(&bench, "/clock", &[("back", "/coupon/0231")]).await;
    assert_eq!((confirmed.status, confirmed.location()), (StatusCode::SEE_OTHER, "/coupon/0231"));
    assert!(!page(&bench, "/coupon/0231").await.contains("clock says"));
}

#[tokio::test]
async fn an_altered_record_stands_next_to_the_others_and_is_not_handed_out() {
    let page = page(&bench(Notices::default()), "/procedure/WP-3/records").await;
    assert!(page.contains("Altered: do not use."), "{page}");
    assert!(page.contains("/record/welder-2031-invented/2/pdf"));
    assert!(!page.contains("/record/welder-2031-altered/"));
}
