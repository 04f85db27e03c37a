//! The bench over a real connection: clients that go quiet, and the end.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use crate::support::FakeDesk;
use bendproof_bench::{Settings, serve};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use tokio::time::timeout;

/// Far longer than the bench waits for anyone; reached only when it waits for ever.
const FOR_EVER: Duration = Duration::from_secs(120);

async fn served() -> (SocketAddr, oneshot::Sender<()>, JoinHandle<std::io::Result<()>>) {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let (stop, stopped) = oneshot::channel::<()>();
    let until = async move { drop(stopped.await) };
    let running = tokio::spawn(serve(Arc::new(FakeDesk::new()), listener, Settings::default(), until));
    (address, stop, running)
}

async fn begun(address: SocketAddr, text: &str) -> TcpStream {
    let mut stream = TcpStream::connect(address).await.unwrap();
    stream.write_all(text.as_bytes()).await.unwrap();
    stream
}

async fn answer(mut stream: TcpStream) -> String {
    let mut text = Vec::new();
    timeout(FOR_EVER, stream.read_to_end(&mut text)).await.unwrap().unwrap();
    String::from_utf8_lossy(&text).into_owned()
}

#[tokio::test]
async fn a_client_that_goes_quiet_does_not_hold_up_the_end() {
    let (address, stop, running) = served().await;
    let half = begun(address, "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-").await;
    let form = "POST /who HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99\r\n\r\nwho=";
    let form = begun(address, form).await;
    let whole = begun(address, "GET /about HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n").await;
    assert!(answer(whole).await.starts_with("HTTP/1.1 200"));
    stop.send(()).unwrap();
    timeout(FOR_EVER, running).await.unwrap().unwrap().unwrap();
    drop((half, form));
}

#[tokio::test]
async fn half_a_head_and_half_a_form_are_let_go_and_a_full_house_goes_on_serving() {
    let (address, _stop, _running) = served().await;
    let mut quiet = Vec::new();
    // More than there are places.
    for _ in 0..600 {
        quiet.push(begun(address, "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-").await);
    }
    let whole = begun(address, "GET /about HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n").await;
    assert!(answer(whole).await.starts_with("HTTP/1.1 200"), "it waits for a place and gets one");
    assert!(!answer(quiet.swap_remove(0)).await.starts_with("HTTP/1.1 200"));
    let form = begun(
        address,
        "POST /who HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: \
        application/x-www-form-urlencoded\r\nContent-Length: 99\r\n\r\nwho=",
    )
    .await;
    assert!(answer(form).await.starts_with("HTTP/1.1 422"), "told that the form could not be read");
}
