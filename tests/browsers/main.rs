//! The finished page, opened from disk in every browser engine.
//!
//! Each test starts a browser with a fresh profile. A test whose browser or
//! tool is missing is skipped and says what to install, or fails where `CI` is `true`.

use std::process::ExitCode;

use libtest_mimic::Arguments;
use tapwright_tests::engine::Engine;
use tapwright_tests::trial::trial;
use tapwright_tests::{axe, page, site as built};

mod access;
mod charts;
mod files;
mod heat;
mod iron;
mod leaves;
mod links;
mod network;
mod recent;
mod script;
mod setup;
mod site;
mod steady;
mod trouble;
mod unmarked;
mod words;

/// What a test returns: the error is what failed.
type Outcome = anyhow::Result<()>;

/// A test's name and the test.
type Check = (&'static str, fn(Engine) -> Outcome);

/// What every engine must do.
const EVERYWHERE: [Check; 40] = [
    ("charts::read_by_every_pointer", charts::readout),
    (
        "charts::load_line_follows_the_choice",
        charts::load_line_follows,
    ),
    ("charts::table_agrees_with_the_report", charts::table_agrees),
    ("files::curve_chosen_from_disk", files::chosen),
    ("files::large_curve_dropped", files::dropped),
    ("files::odd_file_is_refused", files::refused),
    ("heat::heaters_follow_what_is_typed", heat::heaters),
    ("heat::scripts_reach_the_heaters", heat::scripts),
    ("iron::losses_from_a_meter_to_the_result", iron::losses),
    ("leaves::turned_linked_and_back", leaves::turned),
    ("leaves::one_at_a_time_on_a_telephone", leaves::narrow),
    ("links::copied_and_opened_as_text", links::as_text),
    ("links::shared_or_copied", links::shared),
    ("links::menus_close", links::menus_close),
    (
        "links::offered_only_when_closed",
        links::offered_when_closed,
    ),
    ("network::policy_stops_every_way_out", network::stopped),
    ("network::trap_catches_without_policy", network::caught),
    ("recent::saved_and_opened_as_a_file", recent::by_file),
    ("recent::what_is_no_set_up_is_refused", recent::dropped),
    ("recent::listed_deleted_and_carried", recent::listed),
    ("recent::two_tabs_keep_apart", recent::two_tabs),
    ("recent::goes_on_without_storage", recent::no_storage),
    ("script::objects_and_links_agree", script::objects_and_links),
    (
        "script::strange_objects_are_refused",
        script::strange_objects,
    ),
    ("setup::first_visit_shows_an_example", setup::first_visit),
    (
        "setup::comes_back_by_its_link",
        setup::comes_back_by_its_link,
    ),
    (
        "setup::edits_end_where_a_link_begins",
        setup::edits_end_where_a_link_begins,
    ),
    ("setup::back_and_forward", setup::back_and_forward),
    ("setup::undo_and_redo", setup::undo_and_redo),
    ("setup::offered_back_after_closing", setup::offered_back),
    (
        "steady::nothing_moves_while_one_types",
        steady::nothing_moves,
    ),
    (
        "trouble::bad_field_complains_and_the_rest_stays",
        trouble::bad_field,
    ),
    ("trouble::complaint_waits", trouble::complaint_waits),
    ("trouble::damaged_link_opens", trouble::damaged_link),
    ("trouble::megabyte_link_opens", trouble::huge_link),
    (
        "trouble::says_why_it_cannot_start",
        trouble::says_why_it_cannot_start,
    ),
    ("trouble::typed_markup_is_text", trouble::markup_is_text),
    (
        "trouble::strange_values_are_refused",
        trouble::strange_values,
    ),
    (
        "unmarked::from_six_leads_to_an_answer",
        unmarked::from_six_leads,
    ),
    ("words::kept_on_the_device", words::kept),
];

/// What every engine must do with the page from a static host.
const FROM_A_HOST: [Check; 5] = [
    ("site::opens_without_its_host", site::without_host),
    ("site::newer_version_is_taken_whole", site::newer_version),
    ("site::newer_version_once_closed", site::newer_when_closed),
    ("site::half_a_version_is_none", site::half_uploaded),
    (
        "site::policy_stops_every_other_way_out",
        network::stopped_from_a_host,
    ),
];

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let page = page::file().map(drop);
    let site = built::folder().map(drop);
    let mut trials = Vec::new();
    for engine in Engine::ALL {
        let ready = page.clone().and_then(|()| engine.available());
        for (name, test) in EVERYWHERE {
            let name = format!("{}::{name}", engine.name());
            trials.push(trial(&name, ready.clone(), move || test(engine)));
        }
        let ready = site.clone().and_then(|()| engine.available());
        for (name, test) in FROM_A_HOST {
            let name = format!("{}::{name}", engine.name());
            trials.push(trial(&name, ready.clone(), move || test(engine)));
        }
    }
    // What only Chromium's driver can tell: its network log, its themes.
    let chromium = Engine::Chromium;
    let ready = page.and_then(|()| chromium.available());
    trials.push(trial(
        "chromium::network::log_has_files_only",
        ready.clone(),
        move || network::log(chromium),
    ));
    trials.push(trial(
        "chromium::charts::finger_scrolls_past",
        ready.clone(),
        move || charts::scrolls_past(chromium),
    ));
    trials.push(trial(
        "chromium::leaves::fit_a_telephone",
        ready.clone(),
        move || leaves::fits_a_telephone(chromium),
    ));
    trials.push(trial(
        "chromium::leaves::targets_suit_a_thumb",
        ready.clone(),
        move || leaves::targets_suit_a_thumb(chromium),
    ));
    trials.push(trial(
        "chromium::site::can_be_installed",
        site.and_then(|()| chromium.available()),
        move || site::can_be_installed(chromium),
    ));
    let checked = ready.and_then(|()| axe::available());
    for (theme, size) in access::LOOKS {
        trials.push(trial(
            &format!("chromium::access::no_violations_{theme}_{}", size.0),
            checked.clone(),
            move || access::clean(chromium, theme, size),
        ));
    }
    trials.push(trial(
        "chromium::access::checker_finds_a_missing_label",
        checked,
        move || access::detects(chromium),
    ));
    libtest_mimic::run(&arguments, trials).exit_code()
}
