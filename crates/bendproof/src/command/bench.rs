//! `bendproof bench`: opens the shop's file and serves the page.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use bendproof_bench::{Settings, serve};
use bendproof_codes::ShopRules;
use bendproof_shop::Shop;
use tokio::net::TcpListener;
use tokio::signal::unix::{Signal, SignalKind, signal};

use crate::arguments::BenchOptions;
use crate::desk::ShopDesk;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::{output, source};

/// Name of the database file in the data folder.
const DATABASE: &str = "shop.db";
/// Name of the file with the shop's own limits beside it.
const SHOP_RULES: &str = "shop-rules.toml";
/// How long closing the file may take at the end. Basis: choice.
const CLOSING: Duration = Duration::from_secs(3);
/// Exit code of a program that was interrupted, as shells count it.
const STOPPED_AT_ONCE: i32 = 130;

pub fn run(options: BenchOptions) -> Outcome {
    let folder = match &options.data {
        Some(folder) => folder.clone(),
        None => data_folder()?,
    };
    std::fs::create_dir_all(&folder)
        .map_err(|why| failure(format!("{}: {why}; choose a folder with --data", folder.display())))?;
    let rules = shop_rules(&options, &folder)?;
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(failure)?;
    let outcome = runtime.block_on(open(options, folder, rules));
    // A coupon that is being solved just now would hold the end up for a minute.
    runtime.shutdown_background();
    outcome
}

/// The shop's own limits: the file named, or the one beside the database.
fn shop_rules(options: &BenchOptions, folder: &Path) -> Result<Rules, Failure> {
    let beside = folder.join(SHOP_RULES);
    let beside = beside.exists().then_some(beside);
    let path = options.shop_rules.clone().or(beside);
    let rules = source::told(path.as_deref())?.rules;
    if let (Some(path), Some(rules)) = (path, rules) {
        eprintln!("note: the stricter limits of {} are in use, from {}", rules.shop(), path.display());
    }
    Ok(rules)
}

/// A shop's own limits, where it has any.
type Rules = Option<&'static ShopRules>;

async fn open(options: BenchOptions, folder: PathBuf, rules: Rules) -> Outcome {
    let path = folder.join(DATABASE);
    let is_new = !path.exists();
    let shop = Shop::open(&path).await.map_err(|why| failure(format!("{}: {why}", path.display())))?;
    if is_new && !options.no_demo {
        crate::desk::fill_with_demo(&shop).await.map_err(failure)?;
    }
    let address = std::net::SocketAddr::from(([127, 0, 0, 1], options.port));
    let listener = TcpListener::bind(address).await.map_err(|why| {
        failure(format!("port {} cannot be opened: {why}; choose another with --port", options.port))
    })?;
    let address = listener.local_addr().map_err(failure)?;
    let url = format!("http://{address}/");
    output::line(format!("Bendproof is open at {url}"));
    eprintln!("The shop's file is {}. Stop with Ctrl-C.", path.display());
    if !options.no_open {
        open_browser(&url);
    }
    let desk = Arc::new(ShopDesk::new(shop.clone(), rules));
    serve(desk, listener, Settings::loopback(), stopped()).await.map_err(failure)?;
    // What a request in flight still writes is whole or not there, closed or not.
    let _ = tokio::time::timeout(CLOSING, shop.close()).await;
    Ok(Exit::Fine)
}

/// Ends when the user or the system asks the program to stop; asked once more,
/// the program ends at once.
async fn stopped() {
    let mut wishes = Wishes::heard();
    wishes.next().await;
    eprintln!("Stopping. Press Ctrl-C again to end at once; what is saved stays saved.");
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

/// The user's data folder: `$XDG_DATA_HOME/bendproof`, or `~/.local/share/bendproof`.
fn data_folder() -> Result<PathBuf, crate::exit::Failure> {
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    set("XDG_DATA_HOME")
        .or_else(|| set("HOME").map(|home| home.join(".local").join("share")))
        .map(|base| base.join("bendproof"))
        .ok_or_else(|| failure("no data folder: HOME is not set; give one with --data"))
}

/// Asks the desktop to show the page; a machine without one just prints the address.
fn open_browser(url: &str) {
    let opener = if cfg!(target_os = "macos") { "open" } else { "xdg-open" };
    let quiet = std::process::Stdio::null;
    let started =
        std::process::Command::new(opener).arg(url).stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn();
    if started.is_err() {
        eprintln!("Open the address in a browser.");
    }
}
