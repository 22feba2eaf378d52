//! Pages: a web app for one keeper on their own machine. It listens on the
//! loopback address only, needs no network, and works without script.

pub mod answers;
mod assets;
mod error;
mod guard;
mod known;
pub mod once;
mod pages;
mod queue;
mod routes;
mod sent;
mod serving;
pub mod widgets;

pub use answers::{Answer, Answers, Download, Export, Fields, Outcome, SHOWN_IN, Upload};
pub use error::{Link, PageError};
pub(crate) use known::OF_A_PART;
pub(crate) use pages::filled_rows;
pub use pages::{
    AddBinPage, AlarmLine, AwayAnswer, AwayPage, BackupLine, Backups, BinPage, Choice, CorrectPage,
    CourseView, DamagePage, DoseOption, DosePage, ErrorPage, Fold, HelpLine, JarResult,
    JarTestPage, JudgePage, JudgeResult, LogLine, LogPart, MaterialLine, MaterialPage, Nav,
    NextLook, NowLine, NowPart, NumberRow, OutlookPage, PREPARED, PartRow, PlanStep, QuestionPage,
    RationAnswer, RationPage, Refusal, SettingsPage, ShedPage, ShelfBin, ShelfPage, Shell, Slider,
    Taught, TodayLine, TodayPage, TodoLine, TrayResult, TrayTestPage, WeatherAnswer, WeatherPage,
    WhatIfPart, away_controls, entry_forms, outlook_folds, ration_controls, species_words,
    weather_controls,
};
pub use routes::router;

use std::net::SocketAddr;
use std::sync::Arc;
use thiserror::Error;

/// What the pages run on.
#[derive(Clone)]
pub struct Site {
    /// Answers the questions the pages ask.
    pub answers: Arc<dyn Answers>,
    /// Port the Host header must name; `None` takes any (for use in memory).
    pub port: Option<u16>,
}

/// Why the pages could not be served.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum ServeError {
    /// The address can be reached from other machines.
    #[error(
        "address `{0}` can be reached from other machines; use a loopback address such as 127.0.0.1"
    )]
    NotLoopback(SocketAddr),
    /// The address could not be taken, or serving broke.
    #[error("address `{address}` could not be served")]
    Io {
        /// The address.
        address: SocketAddr,
        /// What the system said.
        source: std::io::Error,
    },
}

/// Listen on a loopback address. Port 0 takes any free port; the address
/// taken is returned with the listener.
///
/// # Errors
/// [`ServeError`] when the address is not loopback or cannot be taken.
pub async fn listen(
    address: SocketAddr,
) -> Result<(tokio::net::TcpListener, SocketAddr), ServeError> {
    if !address.ip().is_loopback() {
        return Err(ServeError::NotLoopback(address));
    }
    let failed = |source| ServeError::Io { address, source };
    let listener = tokio::net::TcpListener::bind(address)
        .await
        .map_err(failed)?;
    let taken = listener.local_addr().map_err(failed)?;
    Ok((listener, taken))
}

/// Serve the pages on a loopback address until told to stop (ctrl-c).
///
/// # Errors
/// [`ServeError`] when the address is not loopback or cannot be served.
pub async fn serve(answers: Arc<dyn Answers>, address: SocketAddr) -> Result<(), ServeError> {
    let (listener, taken) = listen(address).await?;
    serve_on(answers, listener, taken).await
}

/// Serve the pages on a listener from [`listen`] until told to stop (ctrl-c).
///
/// # Errors
/// [`ServeError`] when serving breaks.
pub async fn serve_on(
    answers: Arc<dyn Answers>,
    listener: tokio::net::TcpListener,
    address: SocketAddr,
) -> Result<(), ServeError> {
    let site = Site {
        answers,
        port: Some(address.port()),
    };
    serving::serve(router(site), listener)
        .await
        .map_err(|source| ServeError::Io { address, source })
}
