//! The page as pure functions from a scene to markup, one file for each region.
//!
//! Markup comes from `maud` templates, which escape what is put into them.

use maud::Markup;
use tapwright_core::examples::EXAMPLES;
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::report::Report;
use tapwright_core::setup::{Field, Marking, Setup};
use tapwright_core::values::{Problem, Values};

mod answer;
mod bar;
mod cautions;
mod cell;
mod chosen;
mod connections;
mod echo;
mod form;
mod grid;
mod iron;
mod list;
mod scale;
mod speakers;
mod stage;

use crate::chart::Chart;
use crate::charts::Charts;
pub use form::opens_itself;

/// Everything that the views show.
pub struct Scene<'a> {
    /// What is typed.
    pub typed: &'a Setup,
    /// The same with every field at fault at its last good text.
    pub good: &'a Setup,
    /// The report on `good`.
    pub report: &'a Report,
    /// What of `typed` could be read, and what is wrong with the rest.
    pub values: &'a Values,
    /// The charts of the output stage.
    pub charts: &'a Charts,
    /// Folds that stand open, by their key.
    pub open: &'a [String],
    /// What the page has to say about opening or saving, besides the results.
    pub notices: &'a [Notice],
    /// Whether there is something to undo, and to redo.
    pub history: (bool, bool),
}

/// Something to tell that is no result: a damaged link, a set-up to bring back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// Parts of a link that could not be read.
    LinkTrouble(Vec<String>),
    /// The last set-up, by its title, can be brought back.
    BringBack(String),
    /// The link was copied.
    Copied,
    /// The link could not be copied; it stands in the address bar.
    NotCopied,
    /// What became of a file: the place of the speaker that it was for, its name, and what was
    /// made of it or what is wrong with it.
    File(Option<usize>, String, String),
}

/// One region of the page: the element with this id holds this markup.
pub struct Region {
    /// Id of the element.
    pub id: String,
    /// What it holds.
    pub markup: Markup,
}

impl Scene<'_> {
    /// Whether a fold stands open.
    fn is_open(&self, key: &str) -> bool {
        self.open.iter().any(|open| open == key)
    }

    /// The charts, made when first asked for.
    fn charts(&self) -> &[Chart] {
        self.charts.all(|| {
            let mut charts = stage::charts(self.report, self.good);
            charts.extend(iron::charts(self.report));
            charts.extend(speakers::charts(self.report));
            charts
        })
    }

    /// The hookups that the filter lets through.
    fn hookups_shown(&self) -> impl Iterator<Item = &SolvedHookup> {
        let only = self.typed.shown.only;
        let only = only.filter(|at| self.report.solved.hookup(*at).is_some());
        let hookups = self.report.solved.hookups.iter();
        hookups.filter(move |hookup| only.is_none_or(|at| hookup.place == at))
    }

    /// The complaint at a field.
    fn problem(&self, field: Field) -> Option<&Problem> {
        self.values
            .problems
            .iter()
            .find(|problem| problem.field == field)
    }

    /// The fields that say what the primary is.
    fn primary_fields(&self) -> &'static [Field] {
        match self.typed.marking {
            Marking::Impedance => &[Field::Primary],
            Marking::Line => &[Field::LineVolts, Field::LineTaps],
            // As many as there are readings: see `echo::unmarked_fields`.
            Marking::Measured => &[],
        }
    }

    /// Whether results rest on the last good text of any field in `fields`.
    fn is_stale(&self, fields: &[Field]) -> bool {
        fields.iter().any(|field| self.problem(*field).is_some())
    }

    /// Whether what is shown is one of the examples, untouched.
    fn is_example(&self) -> bool {
        EXAMPLES.iter().any(|example| {
            let shipped = example.setup();
            Setup {
                selected: None,
                shown: shipped.shown,
                ..self.typed.clone()
            } == shipped
        })
    }
}

/// What a set-up is called: its name, or what it is made of.
pub fn name(setup: &Setup) -> String {
    let first = |texts: [&str; 2]| {
        let mut texts = texts.into_iter().map(str::trim);
        texts
            .find(|text| !text.is_empty())
            .unwrap_or_default()
            .to_owned()
    };
    let (primary, taps) = match setup.marking {
        Marking::Measured => (setup.unmarked.lump.leads.trim().to_owned(), ""),
        _ => (first([&setup.primary, &setup.line_taps]), setup.taps.trim()),
    };
    let speakers = setup.hookups.first().map_or("", |hookup| &hookup.speakers);
    match (setup.name.trim(), &*primary, taps) {
        ("", "", "") => first([&setup.tube, speakers]),
        ("", "", taps) => taps.into(),
        ("", primary, "") => primary.into(),
        ("", primary, taps) => format!("{primary} to {taps}"),
        (name, ..) => name.into(),
    }
}

/// The page's title, so that a bookmark names itself.
pub fn title(setup: &Setup) -> String {
    match name(setup).as_str() {
        "" => "Tapwright".into(),
        name => format!("{name} · Tapwright"),
    }
}

/// How the ids of the regions inside a region start.
pub fn inside(id: &str) -> &'static [&'static str] {
    match id {
        "form" => &["echo-"],
        "connections" => &["grid-", "list", "tools", "legend"],
        _ => &[],
    }
}

/// The regions below the connections, from the top down.
const CAN_WAIT: [&str; 6] = ["chosen", "stage", "speakers", "iron", "numbers", "cautions"];

/// Whether a region off the screen may be repainted a moment after the rest.
pub fn can_wait(id: &str) -> bool {
    id.starts_with("grid-") || CAN_WAIT.contains(&id)
}

/// Whether a region is repainted part by part where no more than parts changed.
pub fn comes_in_parts(id: &str) -> bool {
    id.starts_with("grid-") || id == "hookups"
}

/// The regions that can wait, from the top down.
pub fn waiting(scene: &Scene) -> Vec<String> {
    let mut ids = connections::grids(scene);
    ids.extend(CAN_WAIT.map(String::from));
    ids
}

type View = fn(&Scene) -> Markup;

/// The regions that are always there, outer ones before those inside them.
const FIXED: [(&str, View); 14] = [
    ("standing", bar::standing),
    ("acts", bar::acts),
    ("notices", bar::notices),
    ("hookups", answer::hookups),
    ("answer", answer::answer),
    ("beware", answer::beware),
    ("form", form::form),
    ("connections", connections::frame),
    ("chosen", chosen::chosen),
    ("stage", stage::stage),
    ("speakers", speakers::speakers),
    ("iron", iron::iron),
    ("numbers", chosen::numbers),
    ("cautions", cautions::cautions),
];

/// Every region that is `wanted` by its id, outer ones before those inside them. The
/// others are not drawn at all.
#[inline(never)]
pub fn regions(scene: &Scene, wanted: &dyn Fn(&str) -> bool) -> Vec<Region> {
    let fixed = FIXED.into_iter().filter(|(id, _)| wanted(id));
    let mut regions: Vec<Region> = fixed.map(|(id, view)| region(id, view(scene))).collect();
    regions.extend(echo::echoes(scene, wanted));
    regions.extend(connections::parts(scene, wanted));
    regions
}

/// The frame that the regions stand in, drawn once.
pub fn frame() -> Markup {
    maud::html! {
        header .bar {
            h1 { "Tapwright" }
            label .name {
                span .unseen { "Name of this amplifier" }
                input #field-name data-field="name" type="text" placeholder="Name this amplifier"
                    autocomplete="off" spellcheck="false" enterkeyhint="done";
            }
            span #standing {}
            div #acts {}
        }
        div #notices role="status" {}
        div #progress role="status" {}
        nav #hookups aria-label="Hookups" {}
        section #answer aria-label="Answer" aria-live="polite" {}
        section #beware aria-label="What to beware of" {}
        div .spread {
            form #form aria-label="What is in the drawer" autocomplete="off" {}
            div .results {
                section #connections aria-label="Every connection" {}
                section #chosen aria-label="The chosen connection" {}
                section #stage aria-label="What the tube does" {}
                section #speakers aria-label="The speakers over frequency" {}
                section #iron aria-label="What the iron does" {}
                section #numbers aria-label="The numbers and their workings" {}
                section #cautions aria-label="Cautions" {}
            }
        }
        nav .spine aria-label="Along the page" {
            button type="button" data-go="form" { "Parts" }
            button type="button" data-go="connections" { "Connections" }
            button type="button" data-go="chosen" { "Chosen" }
        }
    }
}

/// How much of a file is read.
pub fn progress(name: &str, part: f64) -> Markup {
    let percent = (100.0 * part) as u32;
    maud::html! {
        label .notice { "Reading " (name) " " progress max="100" value=(percent) { (percent) " %" } }
    }
}

fn region(id: &str, markup: Markup) -> Region {
    Region {
        id: id.into(),
        markup,
    }
}
