//! The bench over an invented desk in memory, for looking at the page without
//! a shop. `cargo run -p bendproof-bench --example fake_desk -- 4187`

#[path = "../tests/page/support/mod.rs"]
mod support;

use std::sync::Arc;

use bendproof_bench::{Settings, serve};

#[tokio::main]
async fn main() -> std::io::Result<()> {
    let port: u16 = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(0);
    let listener = tokio::net::TcpListener::bind(("127.0.0.1", port)).await?;
    println!("http://{}/", listener.local_addr()?);
    let stop = async {
        let _ = tokio::signal::ctrl_c().await;
    };
    serve(Arc::new(support::FakeDesk::new()), listener, Settings::loopback(), stop).await
}
