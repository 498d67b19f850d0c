//! A link as a set-up.

use super::percent::decoded;
use super::{Parsed, Trouble, VERSION};
use crate::setup::{Field, HookupEntry, HookupText, List, Reads, Selection, Setup, Written};
use strum::VariantArray;
use tapwright_units::entry::excerpt;

/// Most troubles that are listed: a link with a thousand strange keys is reported as one.
const MOST_TROUBLES: usize = 50;

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
        let list = List::VARIANTS.iter().find(|list| list.about().key == key);
        if let Some(list) = list.filter(|list| list.about().written != Written::Keys) {
            return self.row(*list, piece, raw);
        }
        if self.seen.contains(&key) {
            return self.keep(piece, key, "stands there twice, and the first is used");
        }
        let taken = match key {
            "v" => self.version(raw),
            "selected" => self.selected(raw),
            "leaf" => self.leaf(raw),
            "view" => self.view(raw),
            "sort" => self.sort(raw),
            "only" => self.only(raw),
            "pinned" => self.pinned(raw),
            _ => self.field(key, raw),
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
            let why = "is a version that this page does not know: read as version 1";
            self.trouble("v", why.into());
        }
        Ok(())
    }

    fn selected(&mut self, raw: &str) -> Result<(), &'static str> {
        let selection = Selection::read(&self.decode("selected", raw));
        let selection =
            selection.ok_or("is neither a hookup like 2 nor a connection like 1,2,1")?;
        self.setup.selected = Some(selection);
        Ok(())
    }

    fn pinned(&mut self, raw: &str) -> Result<(), &'static str> {
        let pinned = self.decode("pinned", raw);
        self.setup.pinned = (!pinned.trim().is_empty()).then_some(pinned);
        Ok(())
    }

    fn leaf(&mut self, raw: &str) -> Result<(), &'static str> {
        self.setup.shown.leaf = raw.parse().map_err(|_| "is not a leaf of this page")?;
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
        self.setup.shown.sort = raw.parse().map_err(|_| "is not an order of the list")?;
        Ok(())
    }

    fn only(&mut self, raw: &str) -> Result<(), &'static str> {
        let Some(Selection::Hookup(at)) = Selection::read(raw) else {
            return Err("is not the place of a hookup");
        };
        self.setup.shown.only = Some(at);
        Ok(())
    }

    fn field(&mut self, key: &str, raw: &str) -> Result<(), &'static str> {
        let field = Field::from_link_key(key).or_else(|| self.in_row(key));
        let field = field.ok_or("is not a key that this page knows")?;
        match field.row().reads {
            // A word is written as it is.
            Reads::Words(_, wrong) if field.in_list().is_none() => {
                self.setup.set(field, raw).then_some(()).ok_or(wrong)
            }
            _ => {
                let text = self.decode(key, raw);
                self.setup.set(field, &text);
                Ok(())
            }
        }
    }

    /// The field of a key such as `speaker.2.coil`, with room made for that row.
    fn in_row(&mut self, key: &str) -> Option<Field> {
        let field = Field::from_key(key)?;
        let (list, at) = field.in_list()?;
        let about = list.about();
        // A key that would be written in another way, such as `speaker.01.coil`, is not ours.
        if about.written != Written::Keys || at >= about.most || field.to_string() != key {
            return None;
        }
        while self.setup.rows(list) <= at {
            self.setup.add_row(list);
        }
        Some(field)
    }

    /// Takes a row that stands behind the key of its list.
    fn row(&mut self, list: List, piece: &str, raw: &str) {
        let (key, at) = (list.about().key, self.setup.rows(list));
        if at == list.about().most {
            return self.too_many(piece, key, at);
        }
        let texts = match list.about().written {
            Written::Hookup => hookup(at, raw),
            _ => {
                let fields = list.fields(at);
                if raw.split(',').count() > fields.len() {
                    return self.keep(piece, key, "has more values than a row of it has");
                }
                fields.into_iter().zip(raw.split(',')).collect()
            }
        };
        self.setup.add_row(list);
        for (field, raw) in texts {
            let text = self.decode(key, raw);
            self.setup.set(field, &text);
        }
        self.understood += 1;
    }

    /// Keeps a piece of which there are more than this page takes; reported once.
    fn too_many(&mut self, piece: &str, key: &str, most: usize) {
        let reported = self.troubles.iter().any(|trouble| trouble.key == key);
        self.setup.unknown.push(piece.into());
        if !reported {
            self.trouble(key, format!("stands there more than {most} times"));
        }
    }

    fn decode(&mut self, key: &str, raw: &str) -> String {
        let (text, whole) = decoded(raw);
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
        if self.troubles.len() < MOST_TROUBLES {
            let key = excerpt(&decoded(key).0);
            self.troubles.push(Trouble { key, why });
        }
    }
}

/// `name:speakers@rating`, not decoded yet, so that a delimiter that was typed is data.
fn hookup(at: usize, raw: &str) -> Vec<(Field, &str)> {
    let (name, rest) = raw.split_once(':').unwrap_or(("", raw));
    let (speakers, rating) = rest.split_once('@').unwrap_or((rest, ""));
    vec![
        (Field::Hookup(at, HookupText::Name), name),
        (Field::Hookup(at, HookupText::Speakers), speakers),
        (Field::Hookup(at, HookupText::Rating), rating),
    ]
}
