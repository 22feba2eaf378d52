//! The counter: what the pages ask is answered here from the desk.

mod around;
mod bin;
mod bin_words;
mod cite;
mod correct;
mod damage;
mod dose;
mod fill_in;
mod judge;
mod living;
mod log_lines;
mod new_bin;
mod once;
mod parse;
mod picture;
mod settings;
mod shed;
mod shelf;
mod tests;
mod words;

use crate::desk::Desk;
use crate::web::{
    AddBinPage, Answer, Answers, AwayPage, BinPage, CorrectPage, DamagePage, DosePage, Download,
    Export, Fields, JarTestPage, JudgePage, MaterialPage, Outcome, OutlookPage, RationPage,
    SettingsPage, ShedPage, ShelfPage, TodayPage, TrayTestPage, Upload, WeatherPage, WhatIfPart,
};
use std::sync::Arc;

/// Answers pages from a desk.
#[derive(Clone)]
pub struct Counter {
    /// The desk behind it.
    pub desk: Arc<Desk>,
}

impl Answers for Counter {
    fn ready(&self) -> Answer<()> {
        around::ready(&self.desk)
    }

    fn tend(&self) {
        self.desk.tend();
    }

    fn damage(&self) -> Answer<DamagePage> {
        damage::damage(&self.desk)
    }

    fn rescued(&self) -> Answer<Download> {
        damage::rescued(&self.desk)
    }

    fn shelf(&self) -> Answer<ShelfPage> {
        shelf::shelf(&self.desk)
    }

    fn open_demo(&self, fields: &Fields) -> Answer<String> {
        shelf::open_demo(&self.desk, fields)
    }

    fn close_demo(&self, fields: &Fields) -> Answer<String> {
        shelf::close_demo(&self.desk, fields)
    }

    fn add_bin_form(&self, fields: &Fields) -> Answer<AddBinPage> {
        shelf::add_bin_form(&self.desk, &fill_in::named(&self.desk, fields))
    }

    fn add_bin(&self, fields: &Fields) -> Answer<Outcome<AddBinPage>> {
        shelf::add_bin(&self.desk, fields)
    }

    fn bin(&self, bin: i64, fields: &Fields) -> Answer<BinPage> {
        let mut page = bin::bin(&self.desk, bin, &fill_in::named(&self.desk, fields))?;
        if page.shell.notice.is_empty() && around::is_put_away(&self.desk, bin)? {
            "This bin was put away. What was written about it is kept."
                .clone_into(&mut page.shell.notice);
        }
        Ok(page)
    }

    fn log_entry(&self, bin: i64, fields: &Fields) -> Answer<Outcome<BinPage>> {
        around::not_invented_and_gone(&self.desk, bin)?;
        if fields.get("kind") == "tray_test" {
            return tests::record_tray_test(&self.desk, bin, fields);
        }
        bin::log_entry(&self.desk, bin, fields)
    }

    fn correct_form(&self, bin: i64, entry: i64) -> Answer<CorrectPage> {
        correct::correct_form(&self.desk, bin, entry)
    }

    fn correct(&self, bin: i64, entry: i64, fields: &Fields) -> Answer<Outcome<CorrectPage>> {
        around::not_invented_and_gone(&self.desk, bin)?;
        correct::correct(&self.desk, bin, entry, fields)
    }

    fn judge(&self, fields: &Fields) -> Answer<JudgePage> {
        judge::judge(&self.desk, &fill_in::named(&self.desk, fields))
    }

    fn dose(&self, bin: i64, fields: &Fields) -> Answer<DosePage> {
        dose::dose(&self.desk, bin, fields)
    }

    fn what_if(&self, bin: i64, fields: &Fields) -> Answer<WhatIfPart> {
        dose::what_if(&self.desk, bin, fields)
    }

    fn jar_test(&self, bin: i64, fields: &Fields) -> Answer<JarTestPage> {
        tests::jar_test(&self.desk, bin, &fill_in::named(&self.desk, fields))
    }

    fn record_jar_test(&self, bin: i64, fields: &Fields) -> Answer<Outcome<JarTestPage>> {
        around::not_invented_and_gone(&self.desk, bin)?;
        tests::record_jar_test(&self.desk, bin, fields)
    }

    fn tray_test(&self, fields: &Fields) -> Answer<TrayTestPage> {
        tests::tray_test(&self.desk, fields)
    }

    fn outlook(&self, bin: i64, fields: &Fields) -> Answer<OutlookPage> {
        living::outlook::outlook(&self.desk, bin, &fill_in::named(&self.desk, fields))
    }

    fn ration(&self, bin: i64, fields: &Fields) -> Answer<RationPage> {
        living::ration::ration(&self.desk, bin, &fill_in::named(&self.desk, fields))
    }

    fn away(&self, bin: i64, fields: &Fields) -> Answer<AwayPage> {
        living::away::away(&self.desk, bin, fields)
    }

    fn weather(&self, bin: i64, fields: &Fields) -> Answer<WeatherPage> {
        living::weather::weather(&self.desk, bin, fields)
    }

    fn today(&self) -> Answer<TodayPage> {
        living::today::today(&self.desk)
    }

    fn shed(&self, fields: &Fields) -> Answer<ShedPage> {
        shed::shed(&self.desk, fields)
    }

    fn material(&self, key: &str, fields: &Fields) -> Answer<MaterialPage> {
        shed::material(&self.desk, key, fields)
    }

    fn own_values(&self, key: &str, fields: &Fields) -> Answer<Outcome<MaterialPage>> {
        shed::own_values(&self.desk, key, fields)
    }

    fn settings(&self, fields: &Fields) -> Answer<SettingsPage> {
        settings::settings(&self.desk, fields)
    }

    fn set(&self, fields: &Fields) -> Answer<Outcome<SettingsPage>> {
        settings::set(&self.desk, fields)
    }

    fn backup(&self) -> Answer<Download> {
        settings::backup(&self.desk)
    }

    fn export(&self, form: Export) -> Answer<Download> {
        settings::export(&self.desk, form)
    }

    fn restore(&self, file: &Upload) -> Answer<Outcome<SettingsPage>> {
        settings::restore(&self.desk, file)
    }

    fn import(&self, file: &Upload) -> Answer<Outcome<SettingsPage>> {
        settings::import(&self.desk, file)
    }
}
