//! The page around every page: head, the bar on top, the way about.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::text::{Key, Language, script_words, t};
use crate::visitor::{Theme, Visitor};

/// Which entry of the main navigation a page belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Here {
    Coupons,
    Welders,
    Procedures,
    Finder,
    About,
    Elsewhere,
}

const STYLES: [&str; 8] = [
    "tokens.css",
    "page.css",
    "sheet.css",
    "rule.css",
    "section.css",
    "window.css",
    "codes.css",
    "people.css",
];

/// A whole page. `twin` is the address of the same content as JSON.
pub(crate) fn page(visitor: &Visitor, title: &str, twin: Option<&str>, here: Here, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang=(Language::default().tag()) data-look=(visitor.theme.slug()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · " (t(Key::Brand)) }
                link rel="icon" href="/web/mark.svg" type="image/svg+xml";
                @for style in STYLES { link rel="stylesheet" href={ "/web/" (style) }; }
                link rel="stylesheet" href="/web/print.css" media="print";
                @if let Some(twin) = twin {
                    link rel="alternate" type="application/json" href=(twin);
                }
                script type="module" src="/web/bench.js" {}
            }
            body data-words=(script_words()) {
                a.skip href="#main" { (t(Key::SkipToMain)) }
                (hatches())
                (top_bar(visitor, here))
                (warnings(visitor))
                main #main tabindex="-1" { (body) }
                @if let Some(file) = &visitor.notices.file {
                    footer.foot.no-print { p.small { (file) } }
                }
            }
        }
    }
}

fn top_bar(visitor: &Visitor, here: Here) -> Markup {
    let links = [
        ("/", Key::NavCoupons, Here::Coupons),
        ("/welders", Key::NavWelders, Here::Welders),
        ("/procedures", Key::NavProcedures, Here::Procedures),
        ("/finder", Key::NavFinder, Here::Finder),
        ("/about", Key::NavAbout, Here::About),
    ];
    html! {
        header.bar {
            a.brand href="/" {
                svg.brand-mark viewBox="0 0 32 24" aria-hidden="true" focusable="false" {
                    path d="M3 23V15a13 13 0 0 1 26 0v8h-7v-8a6 6 0 0 0-12 0v8z" {}
                }
                (t(Key::Brand))
            }
            nav.ways aria-label=(t(Key::NavMain)) {
                @for (href, words, place) in links {
                    a href=(href) aria-current=[(place == here).then_some("page")] { (t(words)) }
                }
            }
            div.bar-end { (look_form(visitor)) (who_link(visitor)) }
        }
    }
}

/// What must be known before anything on the page is read.
fn warnings(visitor: &Visitor) -> Markup {
    let notices = &visitor.notices;
    html! {
        @if !notices.warnings.is_empty() || notices.clock.is_some() {
            aside.slip.warnings role="alert" {
                @if !notices.warnings.is_empty() {
                    ul.cautions { @for warning in &notices.warnings { li { (warning) } } }
                }
                @if let Some(question) = &notices.clock {
                    form.clock method="post" action="/clock" {
                        p { (question) }
                        input type="hidden" name="back" value=(visitor.path);
                        button.button type="submit" { (t(Key::ClockConfirm)) }
                    }
                }
            }
        }
    }
}

/// The look is a plain form, so that it works without scripts and is kept in a
/// cookie the server reads before the first paint.
fn look_form(visitor: &Visitor) -> Markup {
    let words = |theme| match theme {
        Theme::Auto => Key::ThemeAuto,
        Theme::Paper => Key::ThemePaper,
        Theme::Steel => Key::ThemeSteel,
    };
    html! {
        form.look method="post" action="/look" data-look-form {
            input type="hidden" name="back" value=(visitor.path);
            label for="look" { (t(Key::ThemeLabel)) }
            select #look name="look" {
                @for theme in Theme::ALL {
                    option value=(theme.slug()) selected[theme == visitor.theme] { (t(words(theme))) }
                }
            }
            button.plain.no-script type="submit" { (t(Key::ThemeSet)) }
        }
    }
}

fn who_link(visitor: &Visitor) -> Markup {
    html! {
        a.who href={ "/who?back=" (crate::visitor::percent_encode(&visitor.path)) } {
            span.who-label { (t(Key::WhoIs)) }
            span.who-name { (visitor.name()) }
        }
    }
}

/// The two hatchings, defined once for every drawing on the page.
fn hatches() -> Markup {
    html! {
        svg.defs width="0" height="0" aria-hidden="true" focusable="false" {
            defs {
                (hatch("hatch-fails", 5))
                (hatch("hatch-marginal", 11))
            }
        }
    }
}

fn hatch(id: &str, pitch: u32) -> Markup {
    html! {
        (PreEscaped(format!(
            "<pattern id=\"{id}\" patternUnits=\"userSpaceOnUse\" width=\"{pitch}\" height=\"{pitch}\" \
             patternTransform=\"rotate(45)\"><line class=\"hatch-line\" x1=\"0.5\" y1=\"0\" x2=\"0.5\" \
             y2=\"{pitch}\"/></pattern>"
        )))
    }
}
