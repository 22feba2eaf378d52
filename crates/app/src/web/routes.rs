//! Addresses, and the thin handlers behind them: read what was sent, ask, and
//! show the answer.

use super::Site;
use super::answers::{Answer, Answers, Download, Export, Outcome, Upload};
use super::error::PageError;
use super::pages::MayBeAtFault;
use super::sent::{Asked, Sent};
use super::widgets::page;
use super::{assets, guard, known, queue};
use crate::wanted;
use askama::Template;
use axum::Router;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::extract::{DefaultBodyLimit, FromRequestParts, Path, Request, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::request::Parts;
use axum::http::{Method, StatusCode, Uri};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// All addresses. Usable in memory: `tower::ServiceExt::oneshot`.
pub fn router(site: Site) -> Router {
    Router::new()
        .route("/", get(shelf))
        .route("/demo", post(open_demo))
        .route("/demo/away", post(close_demo))
        .route("/bins/new", get(add_bin_form).post(add_bin))
        .route("/bins/{bin}", get(bin))
        .route("/bins/{bin}/log", get(to_bin).post(log_entry))
        .route("/bins/{bin}/log/{entry}", get(correct_form).post(correct))
        .route("/bins/{bin}/dose", get(dose))
        .route("/bins/{bin}/dose/what-if", get(what_if))
        .route("/bins/{bin}/jar-test", get(jar_test).post(record_jar_test))
        .route("/bins/{bin}/outlook", get(outlook))
        .route("/bins/{bin}/ration", get(ration))
        .route("/bins/{bin}/away", get(away))
        .route("/bins/{bin}/weather", get(weather))
        .route("/today", get(today))
        .route("/judge", get(judge))
        .route("/tray-test", get(tray_test))
        .route("/shed", get(shed))
        .route("/shed/{key}", get(material).post(own_values))
        .route("/settings", get(settings).post(set))
        .route("/settings/damage", get(damage))
        .route("/settings/rescued", get(rescued))
        .route("/settings/backup", get(backup))
        .route("/settings/log.jsonl", get(export_lines))
        .route("/settings/log.csv", get(export_csv))
        .route("/static/{hash}/{name}", get(assets::asset))
        .route("/settings/restore", post(restore))
        .route("/settings/import", post(import))
        .route_layer(middleware::from_fn(known::only_known))
        // What is sent is bounded where it is read, in the queue.
        .layer(DefaultBodyLimit::disable())
        .fallback(async || PageError::not_found("page at this address"))
        .method_not_allowed_fallback(async || {
            PageError::new(
                405,
                "Not that way",
                "This address takes no such request. Start again from a page.",
            )
        })
        .layer(middleware::from_fn_with_state(site.clone(), with_a_log))
        .layer(middleware::from_fn_with_state(
            queue::Lines::new(),
            queue::queue,
        ))
        .layer(middleware::from_fn_with_state(site.clone(), guard::guard))
        .with_state(site)
}

/// No page and no form without a log behind it; and after a form, what is to
/// be done for the log. Styles, and what can be saved of a log, need no log.
async fn with_a_log(State(site): State<Site>, request: Request, next: Next) -> Response {
    let path = request.uri().path();
    let posted = request.method() == Method::POST;
    let help = ["/settings/rescued", "/settings/damage", "/settings/restore"];
    let needs_it = !path.starts_with("/static/") && !help.contains(&path);
    if needs_it && let Err(error) = ask(site.clone(), |a| a.ready()).await {
        return error.into_response();
    }
    let response = next.run(request).await;
    if needs_it
        && response.status() == StatusCode::SERVICE_UNAVAILABLE
        && let Err(error) = ask(site.clone(), |a| a.ready()).await
    {
        // Seen only while it was answered; this says all there is to say.
        return error.into_response();
    }
    if posted && response.status().is_redirection() {
        // Nobody waits for it.
        tokio::task::spawn_blocking(move || site.answers.tend());
    }
    response
}

/// What was sent could not be read.
pub(super) fn unreadable(status: u16) -> PageError {
    PageError::new(
        status,
        "Could not be read",
        "What was sent is not a form this page knows. Nothing was written.",
    )
}

/// A number in an address; anything else is no page of ours.
struct Numbers<T>(T);

impl<S: Send + Sync, T: serde::de::DeserializeOwned + Send> FromRequestParts<S> for Numbers<T> {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, PageError> {
        Path::<T>::from_request_parts(parts, state)
            .await
            .map(|Path(value)| Self(value))
            .map_err(|_| PageError::not_found("page at this address"))
    }
}

/// Ask away from the network threads.
async fn ask<T: Send + 'static>(
    site: Site,
    question: impl FnOnce(&dyn Answers) -> Answer<T> + Send + 'static,
) -> Answer<T> {
    let answered = tokio::task::spawn_blocking(move || question(site.answers.as_ref())).await;
    answered.unwrap_or_else(|error| {
        tracing::error!(%error, "an answer broke off");
        Err(PageError::ours("The answer broke off before it was done."))
    })
}

/// A page that writes nothing: it is worked out while somebody waits for it.
async fn show<T: Template + Send + 'static>(
    site: Site,
    question: impl FnOnce(&dyn Answers) -> Answer<T> + Send + 'static,
) -> Answer<Response> {
    let (waiting, wanted) = wanted::pair();
    let shown = ask(site, move |a| {
        let page = wanted.work(|| question(a).map(|shown| page(&shown)));
        page.unwrap_or_else(|| Err(PageError::ours("Nobody waited for this answer.")))
    })
    .await;
    // Dropped earlier when whoever asked has gone: the work ends then.
    drop(waiting);
    shown
}

/// As [`show`], of a page that answers a question: what was asked may be at
/// fault, and then the status says so too.
async fn answer<T: Template + MayBeAtFault + Send + 'static>(
    site: Site,
    question: impl FnOnce(&dyn Answers) -> Answer<T> + Send + 'static,
) -> Answer<Response> {
    let at_fault = Arc::new(AtomicBool::new(false));
    let seen = Arc::clone(&at_fault);
    let mut response = show(site, move |a| {
        let page = question(a)?;
        seen.store(page.is_at_fault(), Ordering::Relaxed);
        Ok(page)
    })
    .await?;
    if at_fault.load(Ordering::Relaxed) {
        *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    }
    Ok(response)
}

/// Post, redirect, get; or the page again with what is wrong.
async fn carry_out<T: Template + Send + 'static>(
    site: Site,
    question: impl FnOnce(&dyn Answers) -> Answer<Outcome<T>> + Send + 'static,
) -> Answer<Response> {
    Ok(match ask(site, question).await? {
        Outcome::Go(place) => go(&place),
        Outcome::Show(again) => (StatusCode::UNPROCESSABLE_ENTITY, page(&*again)).into_response(),
        Outcome::Ask(asked) => (StatusCode::UNPROCESSABLE_ENTITY, page(&*asked)).into_response(),
    })
}

/// Only to our own pages.
fn go(place: &str) -> Response {
    let own = place.starts_with('/') && !place.starts_with("//") && place.parse::<Uri>().is_ok();
    Redirect::to(if own { place } else { "/" }).into_response()
}

async fn shelf(State(site): State<Site>) -> Answer<Response> {
    show(site, |a| a.shelf()).await
}

async fn open_demo(State(site): State<Site>, Sent(fields): Sent) -> Answer<Response> {
    let place = ask(site, move |a| a.open_demo(&fields)).await?;
    Ok(go(&place))
}

async fn close_demo(State(site): State<Site>, Sent(fields): Sent) -> Answer<Response> {
    let place = ask(site, move |a| a.close_demo(&fields)).await?;
    Ok(go(&place))
}

async fn add_bin_form(State(site): State<Site>, Asked(fields): Asked) -> Answer<Response> {
    show(site, move |a| a.add_bin_form(&fields)).await
}

async fn add_bin(State(site): State<Site>, Sent(fields): Sent) -> Answer<Response> {
    carry_out(site, move |a| a.add_bin(&fields)).await
}

async fn bin(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Asked(fields): Asked,
) -> Answer<Response> {
    show(site, move |a| a.bin(bin, &fields)).await
}

/// A reload after a refused entry asks for the entry's address: show the bin.
async fn to_bin(Numbers(bin): Numbers<i64>) -> Response {
    go(&format!("/bins/{bin}"))
}

async fn log_entry(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Sent(fields): Sent,
) -> Answer<Response> {
    carry_out(site, move |a| a.log_entry(bin, &fields)).await
}

async fn correct_form(
    State(site): State<Site>,
    Numbers((bin, entry)): Numbers<(i64, i64)>,
) -> Answer<Response> {
    show(site, move |a| a.correct_form(bin, entry)).await
}

async fn correct(
    State(site): State<Site>,
    Numbers((bin, entry)): Numbers<(i64, i64)>,
    Sent(fields): Sent,
) -> Answer<Response> {
    carry_out(site, move |a| a.correct(bin, entry, &fields)).await
}

async fn dose(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Asked(fields): Asked,
) -> Answer<Response> {
    show(site, move |a| a.dose(bin, &fields)).await
}

async fn what_if(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Asked(fields): Asked,
) -> Answer<Response> {
    show(site, move |a| a.what_if(bin, &fields)).await
}

async fn jar_test(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Asked(fields): Asked,
) -> Answer<Response> {
    show(site, move |a| a.jar_test(bin, &fields)).await
}

async fn record_jar_test(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Sent(fields): Sent,
) -> Answer<Response> {
    carry_out(site, move |a| a.record_jar_test(bin, &fields)).await
}

async fn outlook(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Asked(fields): Asked,
) -> Answer<Response> {
    answer(site, move |a| a.outlook(bin, &fields)).await
}

async fn ration(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Asked(fields): Asked,
) -> Answer<Response> {
    answer(site, move |a| a.ration(bin, &fields)).await
}

async fn away(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Asked(fields): Asked,
) -> Answer<Response> {
    answer(site, move |a| a.away(bin, &fields)).await
}

async fn weather(
    State(site): State<Site>,
    Numbers(bin): Numbers<i64>,
    Asked(fields): Asked,
) -> Answer<Response> {
    answer(site, move |a| a.weather(bin, &fields)).await
}

async fn today(State(site): State<Site>) -> Answer<Response> {
    show(site, |a| a.today()).await
}

async fn judge(State(site): State<Site>, Asked(fields): Asked) -> Answer<Response> {
    answer(site, move |a| a.judge(&fields)).await
}

async fn tray_test(State(site): State<Site>, Asked(fields): Asked) -> Answer<Response> {
    answer(site, move |a| a.tray_test(&fields)).await
}

async fn shed(State(site): State<Site>, Asked(fields): Asked) -> Answer<Response> {
    show(site, move |a| a.shed(&fields)).await
}

async fn material(
    State(site): State<Site>,
    Numbers(key): Numbers<String>,
    Asked(fields): Asked,
) -> Answer<Response> {
    show(site, move |a| a.material(&key, &fields)).await
}

async fn own_values(
    State(site): State<Site>,
    Numbers(key): Numbers<String>,
    Sent(fields): Sent,
) -> Answer<Response> {
    carry_out(site, move |a| a.own_values(&key, &fields)).await
}

async fn settings(State(site): State<Site>, Asked(fields): Asked) -> Answer<Response> {
    show(site, move |a| a.settings(&fields)).await
}

async fn set(State(site): State<Site>, Sent(fields): Sent) -> Answer<Response> {
    carry_out(site, move |a| a.set(&fields)).await
}

fn hand_over(file: Download) -> Response {
    let kept = |c: &char| c.is_ascii_alphanumeric() || "-_.".contains(*c);
    let name: String = file.name.chars().filter(kept).collect();
    let disposition = format!("attachment; filename=\"{name}\"");
    let headers = [
        (CONTENT_TYPE, file.mime.to_owned()),
        (CONTENT_DISPOSITION, disposition),
    ];
    (headers, file.bytes).into_response()
}

async fn damage(State(site): State<Site>) -> Answer<Response> {
    show(site, |a| a.damage()).await
}

async fn rescued(State(site): State<Site>) -> Answer<Response> {
    ask(site, |a| a.rescued()).await.map(hand_over)
}

async fn backup(State(site): State<Site>) -> Answer<Response> {
    ask(site, |a| a.backup()).await.map(hand_over)
}

async fn export_lines(State(site): State<Site>) -> Answer<Response> {
    let file = ask(site, |a| a.export(Export::JsonLines)).await?;
    Ok(hand_over(file))
}

async fn export_csv(State(site): State<Site>) -> Answer<Response> {
    let file = ask(site, |a| a.export(Export::Csv)).await?;
    Ok(hand_over(file))
}

/// The one file of a file form, after the form's one-time key, if it has one.
async fn file_of(sent: Result<Multipart, MultipartRejection>) -> Answer<Upload> {
    let mut parts = sent.map_err(|_| unreadable(400))?;
    let wrong = |e: axum::extract::multipart::MultipartError| unreadable(e.status().as_u16());
    let mut file = Upload::default();
    let mut part = parts.next_field().await.map_err(wrong)?;
    if part.as_ref().is_some_and(|p| p.name() == Some("once")) {
        let key = part.take().ok_or_else(|| unreadable(400))?;
        file.once = key.text().await.map_err(wrong)?;
        part = parts.next_field().await.map_err(wrong)?;
    }
    let part = part.filter(|p| p.name() == Some("file"));
    let part = part.ok_or_else(|| unreadable(400))?;
    file.name = part.file_name().unwrap_or_default().to_owned();
    file.bytes = part.bytes().await.map_err(wrong)?.to_vec();
    match parts.next_field().await.map_err(wrong)? {
        None => Ok(file),
        Some(_) => Err(unreadable(400)),
    }
}

async fn restore(
    State(site): State<Site>,
    sent: Result<Multipart, MultipartRejection>,
) -> Answer<Response> {
    let file = file_of(sent).await?;
    carry_out(site, move |a| a.restore(&file)).await
}

async fn import(
    State(site): State<Site>,
    sent: Result<Multipart, MultipartRejection>,
) -> Answer<Response> {
    let file = file_of(sent).await?;
    carry_out(site, move |a| a.import(&file)).await
}
