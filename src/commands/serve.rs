//! `serve`: the page, until it is ended.

use super::check::say;
use super::failure::Failure;
use super::keep;
use crate::cli::serve::ServeArgs;
use crate::web::{self, App, Limits, Settings, listen};
use std::io::{ErrorKind, Write};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::process::ExitCode;
use tokio::net::TcpListener;

/// Serves the page until Ctrl-C or the system's wish to end.
///
/// # Errors
///
/// [`Failure`] if the address cannot be listened on.
pub fn run(args: &ServeArgs) -> Result<ExitCode, Failure> {
    let runtime = tokio::runtime::Runtime::new().map_err(|error| Failure::new(format_args!("cannot start: {error}"), ""))?;
    runtime.block_on(serve(args))?;
    // A check that is under way has nobody left to tell.
    runtime.shutdown_background();
    Ok(ExitCode::SUCCESS)
}

async fn serve(args: &ServeArgs) -> Result<(), Failure> {
    let ended = ended();
    let (listeners, listening) = listeners(args).await?;
    let needs_key = !listening.ip().is_loopback();
    let archive = keep::archive(&args.store).ok();
    let limits = Limits::default();
    let settings = Settings {
        archive: archive.clone(),
        limits: limits.clone(),
        listening,
        names: args.names.clone(),
        tell: needs_key.then(|| Box::new(tell_key) as web::session::Tell),
    };
    let kept = match &archive {
        Some(archive) => format!("Runs are kept in {}", archive.folder().display()),
        None => "Nothing can be kept: say where with --store FOLDER".to_owned(),
    };
    say(&format!("The page is at  {}\n{kept}\nEnd it with Ctrl-C.\n", addresses(listening)))?;
    let app = App::new(settings).map_err(|error| Failure::new(format_args!("the system gives no random numbers: {error}"), ""))?;
    listen::serve(listeners, web::router(app), limits, ended).await;
    say("Ended.\n")
}

/// The key goes where the address went.
fn tell_key(key: &str) {
    let mut out = std::io::stdout().lock();
    // Who cannot see the key cannot let anybody in; nothing else depends on it.
    let _ = writeln!(out, "Key for the next device:  {key}").and_then(|()| out.flush());
}

/// What to open.
fn addresses(listening: SocketAddr) -> String {
    if listening.ip().is_unspecified() {
        return format!("http://THIS-MACHINE'S-ADDRESS:{port}/  (on this machine: http://127.0.0.1:{port}/)", port = listening.port());
    }
    format!("http://{listening}/")
}

/// The sockets: this machine's own two addresses, or the one that was asked for.
async fn listeners(args: &ServeArgs) -> Result<(Vec<TcpListener>, SocketAddr), Failure> {
    let bind = async |address: SocketAddr| TcpListener::bind(address).await;
    let first = SocketAddr::new(args.listen.unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST)), args.port);
    let listener = bind(first).await.map_err(|error| refused(first, &error))?;
    let listening = listener.local_addr().map_err(|error| refused(first, &error))?;
    let mut listeners = vec![listener];
    if args.listen.is_none() {
        // Not every machine has the newer family of addresses.
        listeners.extend(bind(SocketAddr::new(IpAddr::V6(Ipv6Addr::LOCALHOST), listening.port())).await.ok());
    }
    Ok((listeners, listening))
}

fn refused(address: SocketAddr, error: &std::io::Error) -> Failure {
    let (what, hint) = match error.kind() {
        ErrorKind::AddrInUse => {
            ("another program listens there".to_owned(), "choose another port: --port 8422, or --port 0 for a free one")
        }
        ErrorKind::PermissionDenied => ("this user may not listen there".to_owned(), "choose a port from 1024 on: --port 8421"),
        ErrorKind::AddrNotAvailable => {
            ("this machine does not have that address".to_owned(), "choose one of its own: --listen 0.0.0.0 takes them all")
        }
        _ => (format!("cannot listen there: {error}"), "choose another address or port: --listen ADDRESS, --port PORT"),
    };
    Failure::new(format_args!("{address}: {what}"), hint)
}

/// Done when somebody wants the program to end. It listens for that from now on, not only once it is waited for.
#[cfg(unix)]
fn ended() -> impl Future<Output = ()> {
    use tokio::signal::unix::{SignalKind, signal};
    let signals = [SignalKind::terminate(), SignalKind::interrupt()].map(signal);
    async move {
        match signals {
            [Ok(mut terminated), Ok(mut interrupted)] => {
                tokio::select! {
                    _ = terminated.recv() => {}
                    _ = interrupted.recv() => {}
                }
            }
            // Without signals it runs until it is killed.
            _ => std::future::pending().await,
        }
    }
}

/// Done when somebody wants the program to end.
#[cfg(not(unix))]
async fn ended() {
    if tokio::signal::ctrl_c().await.is_err() {
        // Without signals it runs until it is killed.
        std::future::pending::<()>().await;
    }
}
