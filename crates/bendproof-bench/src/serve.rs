//! Serving the bench until told to stop. A client that begins something and
//! goes quiet is let go after a while, so that it holds neither a place nor the end
//! up.

use std::future::Future;
use std::io;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::sleep;

use crate::app::{Settings, router};
use crate::desk::Desk;

/// How long a client may take for the head of a request, and stay connected
/// without one. Basis: choice; on one machine a head takes a millisecond.
const HEAD_WAIT: Duration = Duration::from_secs(10);
/// How long a client may take for the form it sends. Basis: choice, as above.
pub(crate) const FORM_WAIT: Duration = Duration::from_secs(10);
/// Clients connected at once; further ones wait to be let in. Half of the 1,024
/// files a process may commonly hold open, so that the shop's own stay free.
const PLACES: usize = 512;
/// How long requests in flight may take to finish once the bench is told to stop.
/// Basis: choice; longer than any save, shorter than a person waits.
const LAST_ANSWERS: Duration = Duration::from_secs(3);
/// Rest after the system refused a connection, for want of files most likely.
const REFUSED_REST: Duration = Duration::from_millis(200);

/// Serves the bench on `listener` until `stop` resolves, then lets the requests in
/// flight finish for some seconds; what takes longer is dropped.
///
/// # Errors
/// None today; the listener's are waited out.
pub async fn serve(
    desk: Arc<dyn Desk>,
    listener: TcpListener,
    settings: Settings,
    stop: impl Future<Output = ()> + Send + 'static,
) -> io::Result<()> {
    let service = TowerToHyperService::new(router(desk, settings));
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD_WAIT);
    let (open, places) = (GracefulShutdown::new(), Arc::new(Semaphore::new(PLACES)));
    let mut stop = pin!(stop);
    loop {
        let (place, stream) = tokio::select! {
            () = &mut stop => break,
            next = next_client(&listener, &places) => next,
        };
        let client = open.watch(http.serve_connection(TokioIo::new(stream), service.clone()));
        tokio::spawn(async move {
            // A client that goes away in the middle is no fault of the bench.
            let _ = client.await;
            drop(place);
        });
    }
    tokio::select! {
        () = open.shutdown() => {}
        () = sleep(LAST_ANSWERS) => {}
    }
    Ok(())
}

/// The next client, once there is a place for one.
async fn next_client(
    listener: &TcpListener,
    places: &Arc<Semaphore>,
) -> (Option<OwnedSemaphorePermit>, TcpStream) {
    // The semaphore is never closed, so there always is a place in the end.
    let place = Arc::clone(places).acquire_owned().await.ok();
    loop {
        match listener.accept().await {
            Ok((stream, _)) => return (place, stream),
            Err(_) => sleep(REFUSED_REST).await,
        }
    }
}
