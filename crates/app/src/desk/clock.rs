//! The one place that knows what time it is.

use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

/// What is wrong with the zone the keeper's machine was told to use (`TZ`);
/// none when it is known or none was named.
#[must_use]
pub fn zone_fault() -> Option<String> {
    let named = std::env::var_os("TZ").filter(|z| !z.is_empty())?;
    TimeZone::try_system().err()?;
    Some(format!(
        "the time zone `{}` in TZ is not known on this machine; set one such as TZ=Europe/Paris or TZ=UTC, or leave TZ out to take the machine's own",
        engine::echo(&named.to_string_lossy())
    ))
}

/// A clock: the machine's, or one stopped at a time the keeper names.
#[derive(Debug, Clone, Default)]
pub struct Clock {
    stopped: Option<ZonedDateTime>,
}

impl Clock {
    /// The machine's clock and zone.
    #[must_use]
    pub fn machine() -> Self {
        Self::default()
    }

    /// A clock stopped at a moment.
    #[must_use]
    pub fn stopped(at: ZonedDateTime) -> Self {
        Self { stopped: Some(at) }
    }

    /// Now, with its zone.
    #[must_use]
    pub fn now(&self) -> ZonedDateTime {
        self.stopped.clone().unwrap_or_else(ZonedDateTime::now)
    }

    /// Now [s since 1970-01-01 00:00 UTC].
    #[must_use]
    pub fn unix_seconds(&self) -> i64 {
        self.now().timestamp().as_second()
    }

    /// Name of the zone, for entries.
    #[must_use]
    pub fn zone_name(&self) -> String {
        let now = self.now();
        now.time_zone().iana_name().unwrap_or("UTC").to_owned()
    }

    /// A moment [s since 1970-01-01 00:00 UTC] in the keeper's zone now.
    #[must_use]
    pub fn local(&self, unix_seconds: i64) -> ZonedDateTime {
        let zone: TimeZone = self.now().time_zone().clone();
        Timestamp::from_second(unix_seconds)
            .unwrap_or(Timestamp::UNIX_EPOCH)
            .to_zoned_datetime(zone)
    }

    /// A time to the minute, here: `2026-11-24 18:05`.
    #[must_use]
    pub fn minute(&self, unix_seconds: i64) -> String {
        self.local(unix_seconds)
            .strftime("%Y-%m-%d %H:%M")
            .to_string()
    }
}
