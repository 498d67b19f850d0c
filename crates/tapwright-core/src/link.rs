//! The link: a whole [`Setup`] in a URL fragment that a person can read and edit.
//!
//! `v=1&primary=brown%208k,%20blue%2010k&taps=3,8,15&hookup=Pair:8//8@15`
//!
//! Percent-decoding is RFC 3986's, so `+` stays `+`. What is at its default is left
//! out. What no key takes is kept as it stood there and reported.

use std::fmt::Write;

use serde::{Deserialize, Serialize};

use crate::setup::{
    Core, DriverEntry, DriverText, Field, HookupEntry, Loads, LossText, LumpText, Marking, OwnKind,
    OwnText, Screens, Selection, Setup, SortBy, StageText, Topology,
};

mod rows;

use rows::Rows;

/// The version that this program writes.
pub const VERSION: &str = "1";

/// Most hookups that a link fills in; further ones are kept in it and reported.
pub const MOST_HOOKUPS: usize = 40;

/// Most operating points of the person's own tube that a link fills in.
pub const MOST_POINTS: usize = 12;

/// Most speakers as they are that a link fills in.
pub const MOST_SPEAKERS: usize = 12;

/// Most readings of each meter that a link fills in.
pub const MOST_READINGS: usize = 60;

/// Something in a link that could not be read as it stood.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Trouble {
    /// The key at fault, as it stood in the link.
    pub key: String,
    /// What is wrong, in one sentence without a full stop.
    pub why: String,
}

/// A link, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Parsed {
    /// Everything that could be read.
    pub setup: Setup,
    /// What could not.
    pub troubles: Vec<Trouble>,
    /// How many pieces of the link were understood: none means that it is no link of ours.
    pub understood: usize,
}

/// The keys that carry one text each.
const TEXTS: [(&str, Field); 8] = [
    ("name", Field::Name),
    ("primary", Field::Primary),
    ("line", Field::LineVolts),
    ("power", Field::LineTaps),
    ("taps", Field::Taps),
    ("tube", Field::Tube),
    ("supply", Field::Supply),
    ("target", Field::Target),
];

fn loss_texts() -> impl Iterator<Item = (&'static str, Field)> {
    let losses = LossText::ALL.iter();
    losses.map(|text| (text.key(), Field::Loss(*text)))
}

fn stage_texts() -> impl Iterator<Item = (&'static str, Field)> {
    let stage = StageText::ALL.iter();
    stage.map(|text| (text.key(), Field::Stage(*text)))
}

fn lump_texts() -> impl Iterator<Item = (&'static str, Field)> {
    let lump = LumpText::ALL.iter();
    lump.map(|text| (text.key(), Field::Lump(*text)))
}

fn own_texts() -> impl Iterator<Item = (&'static str, Field)> {
    let own = OwnText::ALL.iter();
    own.map(|text| (text.key(), Field::Own(*text)))
}

fn texts() -> impl Iterator<Item = (&'static str, Field)> {
    (TEXTS.into_iter().chain(loss_texts()).chain(lump_texts()))
        .chain(stage_texts())
        .chain(own_texts())
}

/// Reads a link, or the fragment of one. Never fails: what cannot be read is listed,
/// kept, and everything else is there.
///
/// ```
/// use tapwright_core::link;
/// let parsed = link::parse("tapwright.html#v=1&primary=8k&taps=4,8,16&hookup=8+8");
/// assert_eq!(parsed.setup.hookups[0].speakers, "8+8");
/// assert!(parsed.troubles.is_empty());
/// ```
pub fn parse(link: &str) -> Parsed {
    let mut reader = Reader {
        setup: Setup {
            hookups: Vec::new(),
            ..Setup::default()
        },
        troubles: Vec::new(),
        seen: Vec::new(),
        understood: 0,
    };
    let pieces = fragment(link).split('&');
    for piece in pieces.filter(|piece| !piece.trim().is_empty()) {
        reader.take(piece);
    }
    let Reader {
        mut setup,
        troubles,
        understood,
        ..
    } = reader;
    if setup.hookups.is_empty() {
        setup.hookups.push(HookupEntry::default());
    }
    Parsed {
        setup,
        troubles,
        understood,
    }
}

/// The fragment in an address, or the text itself where no address stands before it.
///
/// A fragment may hold a `#` of its own, in a key that this page does not know. So the first
/// `#` ends an address only where the text does not begin with a key and its `=`, as no
/// address does.
fn fragment(link: &str) -> &str {
    let link = link.trim_start();
    let is_key = |text: &str| {
        let mut bytes = text.bytes();
        bytes.all(|byte| byte.is_ascii_alphanumeric() || b"_.".contains(&byte))
    };
    let begins_with_key = link.split_once('=').is_some_and(|(key, _)| is_key(key));
    match link.split_once('#') {
        Some((_, fragment)) if !begins_with_key => fragment.trim_start(),
        _ => link,
    }
}

struct Reader<'a> {
    setup: Setup,
    troubles: Vec<Trouble>,
    seen: Vec<&'a str>,
    understood: usize,
}

impl<'a> Reader<'a> {
    fn take(&mut self, piece: &'a str) {
        let (key, raw) = piece.split_once('=').unwrap_or((piece, ""));
        // What was pasted may end in a line break, which is no part of a value.
        let raw = raw.trim_end();
        if key == "hookup" {
            return self.hookup(piece, raw);
        }
        if let Some(rows) = Rows::of(key) {
            return self.row(rows, piece, raw);
        }
        if self.seen.contains(&key) {
            return self.keep(piece, key, "stands there twice, and the first is used");
        }
        let taken = match key {
            "v" => self.version(raw),
            "stage" => self.stage(raw),
            "marking" => self.marking(raw),
            "core" => Core::read(raw)
                .map(|core| self.setup.core = core)
                .ok_or("is neither gapped nor ungapped"),
            "screens" => Screens::read(raw)
                .map(|screens| self.setup.screens = screens)
                .ok_or("is neither steady, taps nor plates"),
            "own" => OwnKind::read(raw)
                .map(|kind| self.setup.own.kind = kind)
                .ok_or("is neither beam, pentode nor triode"),
            "selected" => Selection::read(&self.decode(key, raw))
                .map(|selection| self.setup.selected = Some(selection))
                .ok_or("is neither a hookup like 2 nor a connection like 1,2,1"),
            "loads" => Loads::read(raw)
                .map(|loads| self.setup.loads = loads)
                .ok_or("is neither rated nor curve"),
            "view" => self.view(raw),
            "sort" => self.sort(raw),
            "only" => match Selection::read(raw) {
                Some(Selection::Hookup(at)) => {
                    self.setup.shown.only = Some(at);
                    Ok(())
                }
                _ => Err("is not the place of a hookup"),
            },
            _ => self.text(key, raw),
        };
        match taken {
            Ok(()) => {
                self.understood += 1;
                self.seen.push(key);
            }
            Err(why) => self.keep(piece, key, why),
        }
    }

    fn version(&mut self, raw: &str) -> Result<(), &'static str> {
        if raw != VERSION {
            self.trouble(
                "v",
                "is a version that this page does not know: read as version 1".into(),
            );
        }
        Ok(())
    }

    fn stage(&mut self, raw: &str) -> Result<(), &'static str> {
        self.setup.topology = Topology::read(raw).ok_or("is neither single-ended nor push-pull")?;
        Ok(())
    }

    fn marking(&mut self, raw: &str) -> Result<(), &'static str> {
        self.setup.marking = Marking::read(raw).ok_or("is neither impedance, line nor measured")?;
        Ok(())
    }

    fn view(&mut self, raw: &str) -> Result<(), &'static str> {
        self.setup.shown.list = match raw {
            "list" => true,
            "grids" => false,
            _ => return Err("is neither list nor grids"),
        };
        Ok(())
    }

    fn sort(&mut self, raw: &str) -> Result<(), &'static str> {
        let sort = SortBy::ALL.into_iter().find(|sort| sort.word() == raw);
        self.setup.shown.sort = sort.ok_or("is not an order of the list")?;
        Ok(())
    }

    fn text(&mut self, key: &str, raw: &str) -> Result<(), &'static str> {
        let known = texts().find(|(name, _)| *name == key);
        let Some(field) = known.map(|(_, field)| field).or_else(|| self.speaker(key)) else {
            return Err("is not a key that this page knows");
        };
        let text = self.decode(key, raw);
        if let Some(place) = self.setup.text_mut(field) {
            *place = text;
        }
        Ok(())
    }

    /// The field of a key such as `speaker.2.coil`, with room made for that speaker.
    fn speaker(&mut self, key: &str) -> Option<Field> {
        let field = Field::from_key(key)?;
        let Field::Driver(at, _) = field else {
            return None;
        };
        // A key that would be written in another way, such as `speaker.01.coil`, is not ours.
        if at >= MOST_SPEAKERS || field.to_string() != key {
            return None;
        }
        while self.setup.drivers.len() <= at {
            self.setup.drivers.push(DriverEntry::default());
        }
        Some(field)
    }

    /// Keeps a piece of which there are more than this page takes; reported once.
    fn too_many(&mut self, piece: &str, key: &str, most: usize) {
        let reported = self.troubles.iter().any(|trouble| trouble.key == key);
        self.setup.unknown.push(piece.into());
        if !reported {
            self.trouble(key, format!("stands there more than {most} times"));
        }
    }

    fn hookup(&mut self, piece: &str, raw: &str) {
        if self.setup.hookups.len() == MOST_HOOKUPS {
            return self.too_many(piece, "hookup", MOST_HOOKUPS);
        }
        // The delimiters are looked for before decoding, so that a typed one is data.
        let (name, rest) = raw.split_once(':').unwrap_or(("", raw));
        let (speakers, rating) = rest.split_once('@').unwrap_or((rest, ""));
        let [name, speakers, rating] =
            [name, speakers, rating].map(|raw| self.decode("hookup", raw));
        self.setup.hookups.push(HookupEntry {
            name,
            speakers,
            rating,
        });
        self.understood += 1;
    }

    fn decode(&mut self, key: &str, raw: &str) -> String {
        let (text, whole) = decode(raw);
        if !whole {
            self.trouble(key, "holds a % that is no escape, kept as it stood".into());
        }
        text
    }

    fn keep(&mut self, piece: &str, key: &str, why: &str) {
        self.setup.unknown.push(piece.into());
        self.trouble(key, why.into());
    }

    fn trouble(&mut self, key: &str, why: String) {
        // A link with a thousand strange keys is reported as one, not listed.
        if self.troubles.len() < 50 {
            let key = tapwright_units::entry::excerpt(&decode(key).0);
            self.troubles.push(Trouble { key, why });
        }
    }
}

/// Writes the fragment, without its `#`.
///
/// ```
/// use tapwright_core::{link, setup::Setup};
/// let setup = Setup { taps: "4, 8".into(), ..Setup::default() };
/// assert_eq!(link::encode(&setup), "v=1&taps=4,%208");
/// assert_eq!(link::parse(&link::encode(&setup)).setup, setup);
/// ```
pub fn encode(setup: &Setup) -> String {
    let default = Setup::default();
    let mut link = format!("v={VERSION}");
    let text = |link: &mut String, keys: &mut dyn Iterator<Item = (&'static str, Field)>| {
        for (key, field) in keys {
            let typed = setup.text(field).unwrap_or_default();
            if Some(typed) != default.text(field) {
                push(link, key, typed);
            }
        }
    };
    text(&mut link, &mut TEXTS.into_iter().take(1));
    if setup.topology != default.topology {
        let _ = write!(link, "&stage={}", setup.topology.word());
    }
    if setup.marking != default.marking {
        let _ = write!(link, "&marking={}", setup.marking.word());
    }
    text(&mut link, &mut TEXTS.into_iter().skip(1));
    if setup.core != default.core {
        let _ = write!(link, "&core={}", setup.core.word());
    }
    text(&mut link, &mut loss_texts());
    text(&mut link, &mut lump_texts());
    push_rows(&mut link, setup, &[rows::OHMS, rows::VOLTS]);
    if setup.screens != default.screens {
        let _ = write!(link, "&screens={}", setup.screens.word());
    }
    text(&mut link, &mut stage_texts());
    if setup.own.kind != default.own.kind {
        let _ = write!(link, "&own={}", setup.own.kind.word());
    }
    text(&mut link, &mut own_texts());
    push_rows(&mut link, setup, &[rows::POINTS]);
    if setup.hookups != default.hookups {
        for hookup in &setup.hookups {
            push_hookup(&mut link, hookup);
        }
    }
    for at in 0..setup.drivers.len() {
        push_speaker(&mut link, setup, at);
    }
    if setup.loads != default.loads {
        let _ = write!(link, "&loads={}", setup.loads.word());
    }
    if let Some(selection) = setup.selected {
        let _ = write!(link, "&selected={selection}");
    }
    if setup.shown.list {
        link.push_str("&view=list");
    }
    if setup.shown.sort != default.shown.sort {
        let _ = write!(link, "&sort={}", setup.shown.sort.word());
    }
    if let Some(at) = setup.shown.only {
        let _ = write!(link, "&only={}", at + 1);
    }
    for piece in &setup.unknown {
        link.push('&');
        link.push_str(piece);
    }
    link
}

fn push(link: &mut String, key: &str, text: &str) {
    link.push('&');
    link.push_str(key);
    link.push('=');
    escape(link, text);
}

fn push_rows(link: &mut String, setup: &Setup, tables: &[Rows]) {
    for rows in tables {
        for at in 0..(rows.count)(setup) {
            rows.push(link, setup, at);
        }
    }
}

fn push_hookup(link: &mut String, hookup: &HookupEntry) {
    link.push_str("&hookup=");
    if !hookup.name.is_empty() {
        escape(link, &hookup.name);
        link.push(':');
    }
    escape(link, &hookup.speakers);
    if !hookup.rating.is_empty() {
        link.push('@');
        escape(link, &hookup.rating);
    }
}

/// Its name always, so that a speaker of which nothing is typed yet is one all the same.
fn push_speaker(link: &mut String, setup: &Setup, at: usize) {
    for part in DriverText::ALL {
        let field = Field::Driver(at, *part);
        let text = setup.text(field).unwrap_or_default();
        if !text.is_empty() || *part == DriverText::Called {
            push(link, &field.to_string(), text);
        }
    }
}

/// Escapes what RFC 3986 does not allow in a fragment, and what delimits here.
fn escape(link: &mut String, text: &str) {
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~!$'()*+,;/?".contains(&byte) {
            link.push(char::from(byte));
        } else {
            let _ = write!(link, "%{byte:02X}");
        }
    }
}

/// Percent-decodes (RFC 3986, 2.1). What is no escape stays as it stands, and the
/// second value is false; so is it for bytes that are not UTF-8.
fn decode(raw: &str) -> (String, bool) {
    let mut bytes = Vec::with_capacity(raw.len());
    let mut whole = true;
    let mut rest = raw.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        let escaped = (*first == b'%')
            .then(|| after.split_at_checked(2))
            .flatten()
            .and_then(|(hex, after)| {
                let digits = std::str::from_utf8(hex).ok()?;
                let byte = u8::from_str_radix(digits, 16)
                    .ok()
                    .filter(|_| hex.iter().all(u8::is_ascii_hexdigit))?;
                Some((byte, after))
            });
        let (byte, after) = escaped.unwrap_or_else(|| {
            whole &= *first != b'%';
            (*first, after)
        });
        bytes.push(byte);
        rest = after;
    }
    match String::from_utf8(bytes) {
        Ok(text) => (text, whole),
        Err(error) => (
            String::from_utf8_lossy(error.as_bytes()).into_owned(),
            false,
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::PointEntry;

    #[test]
    fn delimiters_that_were_typed_come_back() {
        let setup = Setup {
            name: "A&B = 100% #1 + “Ω”".into(),
            hookups: vec![HookupEntry {
                name: "a:b@c".into(),
                speakers: "8@8:8".into(),
                rating: "3@:".into(),
            }],
            ..Setup::default()
        };
        let parsed = parse(&encode(&setup));
        assert_eq!(parsed.setup, setup);
        assert!(parsed.troubles.is_empty());
    }

    #[test]
    fn a_tube_of_ones_own_travels() {
        let point = |grid: &str, mu: &str| PointEntry {
            plate: "250".into(),
            grid: grid.into(),
            mu: mu.into(),
            ..PointEntry::default()
        };
        let mut setup = Setup {
            tube: "own".into(),
            ..Setup::default()
        };
        setup.own.kind = OwnKind::Triode;
        setup.own.limits.own_plate_watts = "12".into();
        setup.own.points = vec![point("-12,5", "8&9"), PointEntry::default(), point("", "")];
        let link = encode(&setup);
        assert_eq!(
            link,
            "v=1&tube=own&own=triode&own_plate_watts=12&point=250,,-12%2C5,,,,,8%269&point=&point=250"
        );
        assert_eq!(parse(&link).setup, setup);
        let many = "&point=1".repeat(20);
        let parsed = parse(&many);
        assert_eq!(parsed.setup.own.points.len(), MOST_POINTS);
        assert_eq!(parsed.troubles.len(), 1);
    }

    /// RFC 3986: `+` is itself in a fragment.
    #[test]
    fn plus_stays_plus() {
        assert_eq!(parse("#hookup=8+8").setup.hookups[0].speakers, "8+8");
    }

    #[test]
    fn what_is_damaged_is_kept_and_named() {
        for (link, key, why) in [
            ("v=1&taps=4%ZZ&primary=8k", "taps", "no escape"),
            ("v=1&taps=4%2&primary=8k", "taps", "no escape"),
            ("v=1&taps=4%FF&primary=8k", "taps", "no escape"),
            ("v=7&primary=8k", "v", "does not know"),
            ("v=1&stage=sideways&primary=8k", "stage", "neither"),
            (
                "v=1&selected=9,9&primary=8k",
                "selected",
                "is neither a hookup",
            ),
            ("v=1&sort=colour&primary=8k", "sort", "is not an order"),
            ("v=1&primary=8k&primary=9k", "primary", "twice"),
            ("v=1&colour=red&primary=8k", "colour", "is not a key"),
        ] {
            let parsed = parse(link);
            assert_eq!(parsed.setup.primary, "8k", "{link}");
            assert_eq!(parsed.troubles.len(), 1, "{link}: {:?}", parsed.troubles);
            assert_eq!(parsed.troubles[0].key, key, "{link}");
            assert!(
                parsed.troubles[0].why.contains(why),
                "{link}: {}",
                parsed.troubles[0].why
            );
        }
        assert_eq!(parse("taps=4%ZZ").setup.taps, "4%ZZ");
    }

    #[test]
    fn unknown_keys_travel_on() {
        for link in [
            "v=1&taps=8&colour=red&mood=%zz",
            "v=1&primary=8k&supp#y=250",
            "v=1&taps=8&#&a#b#c",
        ] {
            assert_eq!(encode(&parse(link).setup), link);
            let address = format!("file:///tapwright.html?now=1#{link}");
            assert_eq!(parse(&address), parse(link), "{link}");
        }
    }

    #[test]
    fn text_that_is_no_link_is_understood_nowhere() {
        for text in ["", "hello", "http://example.org/#top", "=", "&&&"] {
            assert_eq!(parse(text).understood, 0, "{text}");
        }
        assert_eq!(parse("v=1").understood, 1);
    }

    #[test]
    fn a_megabyte_and_ten_thousand_hookups_are_kept_whole() {
        let long = format!("v=1&taps={}", "8".repeat(1_000_000));
        assert_eq!(encode(&parse(&long).setup), long);
        let many = format!("v=1{}", "&hookup=8".repeat(10_000));
        let parsed = parse(&many);
        assert_eq!(parsed.setup.hookups.len(), MOST_HOOKUPS);
        assert_eq!(parsed.troubles.len(), 1);
        assert_eq!(encode(&parsed.setup), many);
    }
}
