//! `bendproof bench`: opens the shop's file and serves the page.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use bendproof_bench::{Settings, serve};
use bendproof_codes::catalogue::ShopRules;
use bendproof_shop::{Shop, owner_only};
use tokio::net::TcpListener;
use tokio::signal::unix::{Signal, SignalKind, signal};

use crate::arguments::BenchOptions;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::keep::{self, Keeper};
use crate::source::MachineClock;
use crate::{output, source};
use bendproof_desk::{Keeping as _, ShopDesk};

/// Name of the file with the shop's own limits next to the database.
const SHOP_RULES: &str = "shop-rules.toml";
/// How long closing the file may take at the end. Basis: choice.
const CLOSING: Duration = Duration::from_secs(3);
/// Exit code of a program that was interrupted, as shells count it.
const STOPPED_AT_ONCE: i32 = 130;
/// How long the start waits for the check of the file; a larger file is checked
/// while the page is open. Basis: choice.
const CHECK_WAIT: Duration = Duration::from_millis(700);

pub fn run(options: BenchOptions) -> Outcome {
    let folder = keep::data_folder(options.data.as_deref())?;
    keep::private_folder(&folder)
        .map_err(|why| failure(format!("{}: {why}; choose a folder with --data", folder.display())))?;
    let rules = shop_rules(&options, &folder)?;
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(failure)?;
    let outcome = runtime.block_on(open(options, folder, rules));
    // A coupon that is being solved just now would hold the end up for a minute.
    runtime.shutdown_background();
    outcome
}

/// The shop's own limits: the file named, or the one next to the database.
fn shop_rules(options: &BenchOptions, folder: &Path) -> Result<Rules, Failure> {
    let own = folder.join(SHOP_RULES);
    let own = own.exists().then_some(own);
    let path = options.shop_rules.clone().or(own);
    let rules = source::context(path.as_deref())?.rules;
    if let (Some(path), Some(rules)) = (path, rules) {
        output::say!("note: the stricter limits of {} are in use, from {}", rules.shop(), path.display());
    }
    Ok(rules)
}

/// A shop's own limits, where it has any.
type Rules = Option<&'static ShopRules>;

async fn open(options: BenchOptions, folder: PathBuf, rules: Rules) -> Outcome {
    let mut held = keep::hold(&folder, "a bench that is starting")?;
    // The port first: a start that ends here has made nothing.
    let address = std::net::SocketAddr::from(([127, 0, 0, 1], options.port));
    let listener = TcpListener::bind(address).await.map_err(|why| {
        failure(format!("port {} cannot be opened: {why}; choose another with --port", options.port))
    })?;
    let path = keep::shop_file(&folder);
    let shop = shop(&path, !options.no_demo).await?;
    let keeper = begin(&shop, &options, &folder).await?;
    let address = listener.local_addr().map_err(failure)?;
    let url = format!("http://{address}/");
    held.tell(&format!("the bench at {url}"));
    let wishes = Wishes::heard();
    output::line(format!("Bendproof is open at {url}"));
    output::say!("Shop data: {}. Press Ctrl-C to stop.", path.display());
    if !options.no_open {
        open_browser(&url);
    }
    let desk = Arc::new(
        ShopDesk::new(shop.clone(), rules, Arc::new(MachineClock)).kept_by(Arc::clone(&keeper) as _),
    );
    tokio::spawn({
        let desk = Arc::clone(&desk);
        async move { desk.read_ahead().await }
    });
    serve(desk, listener, Settings::loopback(), stopped(wishes)).await.map_err(failure)?;
    keeper.end(&shop).await;
    // What a request in flight still writes is whole or not there, closed or not.
    let _ = tokio::time::timeout(CLOSING, shop.close()).await;
    Ok(Exit::Fine)
}

/// The shop's file, made where there is none, for its owner only.
async fn shop(path: &Path, with_demo: bool) -> Result<Shop, Failure> {
    if !path.exists() {
        keep::make_new(path, with_demo).await?;
    }
    let named = |why: String| failure(format!("{}: {why}", path.display()));
    if owner_only(path).map_err(|why| named(why.to_string()))? {
        output::say!("note: others on this machine could open {}; now only you can", path.display());
    }
    Shop::open_existing(path).await.map_err(|why| named(why.to_string()))
}

/// Begins to look after the file, and says what is wrong with it.
async fn begin(shop: &Shop, options: &BenchOptions, folder: &Path) -> Result<Arc<Keeper>, Failure> {
    let backups = keep::backups_in(folder, options.backups.as_deref());
    let file = keep::shop_file(folder);
    let keeper = Keeper::begin(shop, file.clone(), backups, !options.no_backup).await.map_err(failure)?;
    let faults = keeper.wait(CHECK_WAIT).await;
    for fault in &faults {
        output::say!("damaged: {fault}");
    }
    if !faults.is_empty() {
        output::say!("{} is damaged; no record can be issued from it; {}", file.display(), keeper.advice());
    }
    let notices = keeper.notices();
    for warning in keeper.warnings().into_iter().chain(notices.clock) {
        output::say!("warning: {warning}");
    }
    Ok(keeper)
}

/// Ends when the user or the system asks the program to stop; asked once more,
/// the program ends at once.
async fn stopped(mut wishes: Wishes) {
    wishes.next().await;
    output::say!("Stopping. Press Ctrl-C again to end at once; what is saved stays saved.");
    tokio::spawn(async move {
        wishes.next().await;
        std::process::exit(STOPPED_AT_ONCE);
    });
}

/// The ways of asking the program to stop: Ctrl-C, the system's, and a terminal
/// that is closed.
struct Wishes([Option<Signal>; 3]);

impl Wishes {
    /// A signal that cannot be heard is never heard.
    fn heard() -> Self {
        Self([SignalKind::interrupt(), SignalKind::terminate(), SignalKind::hangup()].map(|k| signal(k).ok()))
    }

    async fn next(&mut self) {
        let [interrupt, terminate, hangup] = &mut self.0;
        tokio::select! {
            () = wished(interrupt) => {}
            () = wished(terminate) => {}
            () = wished(hangup) => {}
        }
    }
}

async fn wished(signal: &mut Option<Signal>) {
    match signal {
        Some(signal) => drop(signal.recv().await),
        None => std::future::pending().await,
    }
}

/// Asks the desktop to show the page; a machine without one just prints the address.
fn open_browser(url: &str) {
    let opener = if cfg!(target_os = "macos") { "open" } else { "xdg-open" };
    let quiet = std::process::Stdio::null;
    let started =
        std::process::Command::new(opener).arg(url).stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn();
    if started.is_err() {
        output::say!("Open the address in a browser.");
    }
}
