//! What a large shop costs: shops of 20 to 10,000 coupons with one welder to ten
//! of them, each coupon a variation of a demonstration coupon, written through the
//! shop itself so that the chain of events is whole. Measured from outside on the
//! release program next to this benchmark. Sizes may be named as arguments.

mod support;

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Instant;

use bendproof_files::{COUPON, Document};
use bendproof_shop::{By, Edit, Shop};
use support::running::{Failure, Running, cpu_s, get, get_with, memory_mib, post, program, start};
use support::{Times, columns, machine};

/// Coupons of the shops measured where none are named.
const SIZES: [usize; 4] = [20, 200, 2_000, 10_000];
/// Coupons of one welder.
const COUPONS_EACH: usize = 10;
/// Runs of which the middle one counts.
const RUNS: usize = 5;
/// Papers asked for at once: a class.
const CLASS: usize = 18;
/// Where the random steps begin, so that a shop is the same each time.
const SEED: u64 = 0x0be4_d900f;
/// Milliseconds in a day.
const DAY_MS: i64 = 24 * 60 * 60 * 1000;
/// How a client says that it reads compressed answers.
const COMPRESSED: &str = "Accept-Encoding: gzip\r\n";

/// Random steps that repeat; the constants are Knuth's for 64 bits (MMIX).
struct Steps(u64);

impl Steps {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }
}

/// The demonstration coupons, as their files have them.
fn patterns() -> Result<Vec<BTreeMap<String, String>>, Failure> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../bendproof-desk/demo/coupons");
    let mut paths: Vec<_> =
        std::fs::read_dir(folder)?.map(|e| e.map(|e| e.path())).collect::<Result<_, _>>()?;
    paths.sort();
    let read = |path| -> Result<_, Failure> {
        Ok(Document::from_toml(&COUPON, &std::fs::read_to_string(path)?).0.values().clone())
    };
    paths.iter().map(read).collect()
}

fn welder(n: usize) -> String {
    format!("Welder {n:04}")
}

/// One coupon: the pattern with its own number, welder, day and settings.
fn varied(pattern: &BTreeMap<String, String>, number: &str, of: usize, steps: &mut Steps) -> Vec<Edit> {
    let now = jiff::Timestamp::now().as_millisecond();
    let day = |days: i64| jiff::Timestamp::from_millisecond(now - days * DAY_MS).unwrap_or_default();
    let openings = ["5/64 in", "3/32 in", "7/64 in", "1/8 in", "9/64 in"];
    let mut values = pattern.clone();
    values.insert("number".to_owned(), number.to_owned());
    values.insert("welder".to_owned(), welder(of));
    for (path, text) in &mut values {
        let volts = path.ends_with(".volts") && path.starts_with("pass.");
        if path == "fit.root_opening" {
            openings[steps.below(openings.len())].clone_into(text);
        } else if volts {
            *text = format!("{:.1} V", 17.0 + 0.1 * steps.below(21) as f64);
        } else if let Some(days) = text.strip_prefix('@').and_then(|days| days.parse::<i64>().ok()) {
            *text = day(days).strftime("%Y-%m-%d").to_string();
        }
    }
    values.iter().map(|(path, text)| Edit::set(path, text)).collect()
}

async fn filled(path: &Path, coupons: usize) -> Result<(), Failure> {
    let shop = Shop::open(path).await?;
    let (patterns, mut steps) = (patterns()?, Steps(SEED));
    let now = jiff::Timestamp::now().as_millisecond();
    let welders = coupons.div_ceil(COUPONS_EACH);
    let used = (jiff::Timestamp::from_millisecond(now - 20 * DAY_MS)?).strftime("used.%Y-%m-%d").to_string();
    for of in 0..welders {
        let edits = [
            Edit::set("name", &welder(of)),
            Edit::set(&format!("{used}.process"), "GMAW"),
            Edit::set(&format!("{used}.transfer"), "short-circuit"),
            Edit::set(&format!("{used}.evidence"), "job 7, seen by the instructor"),
        ];
        shop.create_person(&format!("w{of:04}"), &edits, &By::new("bench", now - DAY_MS)).await?;
    }
    for n in 0..coupons {
        let number = format!("{:05}", n + 1);
        let edits = varied(&patterns[n % patterns.len()], &number, n % welders, &mut steps);
        shop.create_coupon(&number, &edits, &By::new("bench", now - DAY_MS + n as i64)).await?;
    }
    shop.close().await;
    Ok(())
}

/// What is measured, by name, for one shop.
type Column = Vec<(&'static str, String)>;

fn ms(time: std::time::Duration) -> String {
    format!("{:.1}", time.as_secs_f64() * 1e3)
}

fn once<T>(job: impl FnOnce() -> Result<T, Failure>) -> Result<(String, T), Failure> {
    let began = Instant::now();
    let done = job()?;
    Ok((ms(began.elapsed()), done))
}

fn middle(mut job: impl FnMut() -> Result<(usize, String), Failure>) -> Result<(String, usize), Failure> {
    let (mut times, mut bytes) = (Vec::new(), 0);
    for _ in 0..RUNS {
        let began = Instant::now();
        bytes = job()?.0;
        times.push(began.elapsed());
    }
    Ok((ms(Times::of(times).at(0.5)), bytes))
}

fn kb(bytes: usize) -> String {
    format!("{:.0}", bytes as f64 / 1000.0)
}

/// Pages read, the first time and afterwards.
fn pages(bench: &Running, coupons: usize, out: &mut Column) -> Result<(), Failure> {
    let address = &bench.address;
    let number = format!("{coupons:05}");
    let sheet = format!("/coupon/{number}");
    let cpu = cpu_s(bench.child.id())?;
    let (first, _) = once(|| get(address, "/welders"))?;
    out.push(("list of welders, the first after a start, ms", first));
    out.push(("the same, CPU ms", format!("{:.0}", (cpu_s(bench.child.id())? - cpu) * 1e3)));
    let (time, bytes) = middle(|| get(address, "/welders"))?;
    out.push(("list of welders afterwards, ms", time));
    out.push(("its kB", kb(bytes)));
    out.push(("list of coupons, first, ms", once(|| get(address, "/"))?.0));
    out.push(("list of coupons afterwards, ms", middle(|| get(address, "/"))?.0));
    out.push(("a name found among the coupons, ms", middle(|| get(address, "/?find=Welder+0001"))?.0));
    out.push(("sheet, the first after a start, ms", once(|| get(address, &sheet))?.0));
    let (time, bytes) = middle(|| get(address, &sheet))?;
    out.push(("sheet afterwards, ms", time));
    out.push(("its kB", kb(bytes)));
    out.push(("its kB compressed", kb(get_with(address, &sheet, COMPRESSED)?.0)));
    out.push(("one welder's page, ms", middle(|| get(address, "/welder/w0001"))?.0));
    Ok(())
}

/// What the page says it shows: the print of each of its pieces.
fn shown(page: &str) -> String {
    let prints =
        page.split("data-prints=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap_or_default();
    let plain = prints.replace("&quot;", "").replace(['{', '}'], "");
    plain.replace(',', "+").replace(':', "%3A")
}

/// Saves and previews, sent as the page's script sends them. The coupon is judged,
/// so each change gives its reason.
fn saves(bench: &Running, coupons: usize, out: &mut Column) -> Result<(), Failure> {
    let address = &bench.address;
    let number = format!("/coupon/{coupons:05}");
    let mut version = 1;
    let have = shown(&get(address, &number)?.1);
    let openings = ["1%2F8+in", "3%2F32+in"];
    let (time, bytes) = middle(|| {
        let opening = openings[version % 2];
        let form = format!(
            "version={version}&token=t{version}&why=read+again&have={have}&fit.root_opening={opening}"
        );
        version += 1;
        post(address, &format!("{number}/change"), &form)
    })?;
    out.push(("a save of a fit, ms", time));
    out.push(("its kB", kb(bytes)));
    let have = shown(&get(address, &number)?.1);
    let note = format!("version={version}&token=n&why=moved&have={have}&booth=7");
    out.push(("kB of a save of the booth", kb(post(address, &format!("{number}/change"), &note)?.0)));
    let form = format!("version={version}&have={have}&fit.root_opening=7%2F64+in");
    out.push((
        "preview while dragging, ms",
        middle(|| post(address, &format!("{number}/preview"), &form))?.0,
    ));
    Ok(())
}

/// A class that prints together. A paper costs what its coupon costs, in any
/// shop, so this is measured by itself: `-- papers`.
fn papers(program: &Path) -> Result<(), Failure> {
    let data = tempfile::tempdir()?;
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    runtime.block_on(filled(&data.path().join("shop.db"), CLASS))?;
    let bench = start(program, data.path())?;
    let address = bench.address.as_str();
    get(address, "/")?;
    let (before, _) = memory_mib(bench.child.id())?;
    let (time, ()) = once(|| {
        std::thread::scope(|scope| {
            let all: Vec<_> = (1..=CLASS)
                .map(|n| scope.spawn(move || get(address, &format!("/coupon/{n:05}/file/pdf"))))
                .collect();
            all.into_iter().try_for_each(|one| one.join().map_err(|_| "a client failed")?.map(drop))
        })
    })?;
    let (after, most) = memory_mib(bench.child.id())?;
    let cpu = cpu_s(bench.child.id())?;
    let (again, _) = once(|| get(address, &format!("/coupon/{CLASS:05}/file/pdf-a4")))?;
    println!("{CLASS} papers at once: {time} ms, {cpu:.0} CPU s; one more of a solved coupon: {again} ms.");
    println!("Memory before, at its most and afterwards: {before:.0}, {most:.0} and {after:.0} MiB.");
    Ok(())
}

fn measured(program: &Path, coupons: usize) -> Result<Column, Failure> {
    let data = tempfile::tempdir()?;
    let file = data.path().join("shop.db");
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    let mut out = vec![("welders", coupons.div_ceil(COUPONS_EACH).to_string())];
    let (time, ()) = once(|| runtime.block_on(filled(&file, coupons)))?;
    out.push(("written through the shop in, ms", time));
    out.push(("file, MB", format!("{:.1}", std::fs::metadata(&file)?.len() as f64 / 1e6)));
    let (time, bench) = once(|| start(program, data.path()))?;
    out.push(("start to its address, ms", time));
    pages(&bench, coupons, &mut out)?;
    saves(&bench, coupons, &mut out)?;
    out.push(("memory at its most so far, MiB", format!("{:.0}", memory_mib(bench.child.id())?.1)));
    Ok(out)
}

fn main() -> Result<(), Failure> {
    let program = program()?;
    if std::env::args().any(|word| word == "papers") {
        return papers(&program);
    }
    let named: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let sizes = if named.is_empty() { SIZES.to_vec() } else { named };
    let mut measurements = Vec::new();
    for coupons in &sizes {
        eprintln!("{coupons} coupons");
        measurements.push(measured(&program, *coupons)?);
    }
    machine("growth");
    println!();
    let heads: Vec<String> = sizes.iter().map(|n| format!("{n} coupons")).collect();
    columns(&std::iter::once("what").chain(heads.iter().map(String::as_str)).collect::<Vec<_>>());
    for (row, (name, _)) in measurements.first().map_or(&[][..], Vec::as_slice).iter().enumerate() {
        let cells: Vec<&str> =
            measurements.iter().map(|column| column.get(row).map_or("", |(_, cell)| cell)).collect();
        println!("| {name} | {} |", cells.join(" | "));
    }
    Ok(())
}
