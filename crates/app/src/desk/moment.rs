//! Whether the times and the zone of an entry from elsewhere can be.

use engine::log::Body;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use store::New;

/// How far another machine's clock may be ahead of this one [s].
const AHEAD: i64 = 86_400;

/// The zone must be known here, and no time may be still to come.
///
/// # Errors
/// What is wrong, naming field and value.
pub(super) fn may_stand(new: &New, now: i64) -> Result<(), String> {
    let moved = match &new.body {
        Body::Correction {
            at_unix_seconds, ..
        } => *at_unix_seconds,
        _ => None,
    };
    for (what, at) in [
        ("at_unix_seconds", Some(new.at_unix_seconds)),
        ("written_unix_seconds", Some(new.written_unix_seconds)),
        ("at_unix_seconds of the body", moved),
    ] {
        let at = at.unwrap_or(now);
        if at - now > AHEAD {
            let day = Timestamp::from_second(at).map_or_else(|_| String::new(), |t| t.to_string());
            return Err(format!("{what} `{at}` ({day}) is still to come"));
        }
    }
    match TimeZone::get(&new.zone) {
        // Without any zones on this machine none can be looked up.
        Err(_) if !jiff::tz::db().is_definitively_empty() => Err(format!(
            "zone `{}` is not known; give one such as `Europe/Paris` or `UTC`",
            engine::echo(&new.zone)
        )),
        _ => Ok(()),
    }
}
