//! `bedwright` alone and `bedwright serve`: the web app on this machine.

use super::session::{Fault, Session};
use crate::counter::Counter;
use crate::desk::Desk;
use crate::shown;
use crate::web::{self, ServeError};
use std::io::Write;
use std::net::{Ipv4Addr, SocketAddr};
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::Duration;

/// The port tried first.
const PORT: u16 = 4177;
/// How often it is looked whether a bin has yet to learn from its log.
const BETWEEN_LOOKS: Duration = Duration::from_millis(300);
/// How long work still under way is waited for at the end.
const LAST_WAIT: Duration = Duration::from_millis(200);

/// Arguments of the command.
#[derive(Debug, Default, clap::Args)]
pub struct Arguments {
    /// Port on this machine; 4177, or any free one when that is taken.
    #[arg(long)]
    port: Option<u16>,
    /// Open a browser on it.
    #[arg(long)]
    open: bool,
}

/// Serves until ctrl-c, and ends within a second of it.
pub(super) fn run(a: &Arguments, session: &Session) -> Result<(), Fault> {
    let desk = session.desk_to_serve()?.with_bars(false);
    super::say(session.notices());
    desk.tidy();
    let counter = Counter {
        desk: Arc::new(desk),
    };
    settle_in_idle_time(Arc::clone(&counter.desk));
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| Fault::Other(format!("the web app could not be started: {e}")))?;
    let served = runtime.block_on(async {
        let (listener, address) = listen(a.port).await.map_err(said)?;
        announce(session, address)?;
        if a.open {
            open_browser(&format!("http://{address}/"));
        }
        web::serve_on(Arc::new(counter), listener, address)
            .await
            .map_err(said)
    });
    // Whoever stops the server does not wait for answers nobody gets.
    runtime.shutdown_timeout(LAST_WAIT);
    served
}

/// Works out, while nothing else is asked, what bins have yet to learn from their
/// logs; it ends with the program.
fn settle_in_idle_time(desk: Arc<Desk>) {
    std::thread::spawn(move || {
        loop {
            if !desk.settle_on() {
                std::thread::sleep(BETWEEN_LOOKS);
            }
        }
    });
}

async fn listen(port: Option<u16>) -> Result<(tokio::net::TcpListener, SocketAddr), ServeError> {
    let at = |port: u16| SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    match (port, web::listen(at(port.unwrap_or(PORT))).await) {
        (None, Err(ServeError::Io { .. })) => web::listen(at(0)).await,
        (_, answer) => answer,
    }
}

fn said(error: ServeError) -> Fault {
    match &error {
        ServeError::Io { source, .. } => Fault::Other(format!("{error}: {source}")),
        ServeError::NotLoopback(_) => Fault::input(error.to_string()),
    }
}

fn announce(session: &Session, address: SocketAddr) -> Result<(), Fault> {
    let mut out = std::io::stdout();
    let text = format!(
        "Bedwright is at http://{address}/\nYour data is in {}\nStop with ctrl-c.",
        shown::line(&session.data().display().to_string())
    );
    writeln!(out, "{text}")
        .and_then(|()| out.flush())
        .map_err(|e| Fault::Other(format!("the address could not be printed: {e}")))
}

/// Tries to open a browser; when there is none, the address is printed anyway.
fn open_browser(address: &str) {
    let program = if cfg!(target_os = "macos") {
        "open"
    } else if cfg!(target_os = "windows") {
        "explorer"
    } else {
        "xdg-open"
    };
    // The address is on the screen; a browser that does not start is no fault.
    let _ = Command::new(program)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
}
