//! The two vocabularies of the trade. The page is written in the first; what a person reads is
//! put into the other here, so that no view needs to know.
//!
//! What was typed stays as it was typed. Attributes that hold values are never touched.

use strum::{EnumString, IntoStaticStr};

/// Words of the first vocabulary with those of the second: in both, forms that differ by more
/// than their beginning stand apart. From memory of how both are written; checked against no
/// source.
const PAIRS: [(&str, &str); 12] = [
    ("tube", "valve"),
    ("tubes", "valves"),
    ("plate", "anode"),
    ("plates", "anodes"),
    ("B+", "HT"),
    ("ground", "earth"),
    ("grounds", "earths"),
    ("grounded", "earthed"),
    ("grounding", "earthing"),
    ("transconductance", "mutual conductance"),
    ("filter capacitor", "smoothing capacitor"),
    ("filter capacitors", "smoothing capacitors"),
];

/// Attributes that a person reads, or hears.
const READ_ALOUD: [&str; 6] = [
    "aria-label",
    "aria-valuetext",
    "placeholder",
    "title",
    "data-name",
    "label",
];

/// Which words the page uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, EnumString, IntoStaticStr)]
#[strum(serialize_all = "kebab-case")]
pub enum Vocabulary {
    /// Tube, plate, B+, ground.
    #[default]
    Tube,
    /// Valve, anode, HT, earth.
    Valve,
}

impl Vocabulary {
    /// Its words in a row, as its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Tube => "tube, plate, B+, ground",
            Self::Valve => "valve, anode, HT, earth",
        }
    }

    /// The other one.
    pub fn other(self) -> Self {
        match self {
            Self::Tube => Self::Valve,
            Self::Valve => Self::Tube,
        }
    }

    /// A text in these words, but for what was typed.
    pub fn text(self, text: &str, typed: &[String]) -> String {
        match self {
            Self::Tube => text.into(),
            Self::Valve => Writer::new(typed).text(text),
        }
    }

    /// A markup in these words, but for what was typed.
    pub fn markup(self, markup: &str, typed: &[String]) -> String {
        match self {
            Self::Tube => markup.into(),
            Self::Valve => Writer::new(typed).markup(markup),
        }
    }
}

/// Of the texts that were typed, and of the elements of lists among them, those that hold a
/// word of the first vocabulary beside others, as markup has them. A single word is taken for
/// what it means.
pub fn with_words<'a>(typed: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let elements = |text: &'a str| text.split([',', ';', '\n']).chain([text]);
    let mut found: Vec<String> = typed
        .into_iter()
        .flat_map(elements)
        .flat_map(|element| [element, without_value(element)])
        .map(str::trim)
        .filter(|text| text.contains(' ') && find(text).is_some())
        .map(|text| maud::html! { (text) }.into_string())
        .collect();
    // The longest first, so that none hides in another.
    found.sort_by_key(|text| std::cmp::Reverse(text.len()));
    found.dedup();
    found
}

/// The element of a list without the value behind its name: `plate blue` of `plate blue 8k`.
fn without_value(element: &str) -> &str {
    let value = element
        .rfind(' ')
        .filter(|at| element[*at..].contains(|letter: char| letter.is_ascii_digit()));
    value.map_or(element, |at| &element[..at])
}

/// Whether a text has words of a vocabulary, and which first. For tests.
pub fn stray(text: &str, vocabulary: Vocabulary) -> Option<&'static str> {
    words(text).find_map(|word| {
        let is_word = |(tube, valve): &&(&'static str, &'static str)| {
            let one = match vocabulary {
                Vocabulary::Tube => tube,
                Vocabulary::Valve => valve,
            };
            starts_with_word(word, one)
        };
        let (tube, valve) = PAIRS.iter().find(is_word)?;
        Some(match vocabulary {
            Vocabulary::Tube => *tube,
            Vocabulary::Valve => *valve,
        })
    })
}

/// The first pair whose first word is in a text.
fn find(text: &str) -> Option<&'static (&'static str, &'static str)> {
    words(text).find_map(pair_at)
}

/// The rests of a text that begin with a word.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let mut before = ' ';
    text.char_indices().filter_map(move |(at, letter)| {
        let begins = letter.is_alphanumeric() && !before.is_alphanumeric();
        before = letter;
        begins.then_some(&text[at..])
    })
}

/// The pair whose first word a text begins with; the longest, where several fit.
fn pair_at(text: &str) -> Option<&'static (&'static str, &'static str)> {
    let fitting = PAIRS
        .iter()
        .filter(|(word, _)| starts_with_word(text, word));
    fitting.max_by_key(|(word, _)| word.len())
}

/// Whether a text begins with this word, in small letters or with a capital.
fn starts_with_word(text: &str, word: &str) -> bool {
    let Some(head) = text.get(..word.len()) else {
        return false;
    };
    let fits = match word
        .chars()
        .all(|letter| letter.is_lowercase() || letter == ' ')
    {
        true => head.eq_ignore_ascii_case(word),
        false => head == word,
    };
    let after = text[word.len()..].chars().next();
    fits && !after.is_some_and(|letter| letter.is_alphanumeric() || letter == '+')
}

/// Writes a text in the second vocabulary.
struct Writer<'a> {
    typed: &'a [String],
    written: String,
    /// Behind an `a` with nothing but spaces and tags after it: an `n` may have to come there.
    article: Option<usize>,
    before: char,
}

impl<'a> Writer<'a> {
    fn new(typed: &'a [String]) -> Self {
        Self {
            typed,
            written: String::new(),
            article: None,
            before: ' ',
        }
    }

    fn text(mut self, text: &str) -> String {
        self.put(text);
        self.written
    }

    fn markup(mut self, markup: &str) -> String {
        let mut rest = markup;
        while let Some(start) = rest.find('<') {
            self.put(&rest[..start]);
            let tag = &rest[start..];
            let end = end_of_tag(tag);
            self.tag(&tag[..end]);
            // No word of the page goes on behind a tag.
            self.before = ' ';
            rest = &tag[end..];
            if tag[..end].contains(" translate=\"no\"") {
                let kept = rest.find("</").unwrap_or(rest.len());
                self.copy(&rest[..kept]);
                rest = &rest[kept..];
            }
        }
        self.put(rest);
        self.written
    }

    /// Puts a text that stands between tags.
    fn put(&mut self, text: &str) {
        let mut rest = text;
        while let Some(letter) = rest.chars().next() {
            let begins = letter.is_alphanumeric() && !self.before.is_alphanumeric();
            if begins {
                if let Some(phrase) = self.typed.iter().find(|phrase| rest.starts_with(*phrase)) {
                    self.copy(phrase);
                    rest = &rest[phrase.len()..];
                    continue;
                }
                if let Some((word, other)) = pair_at(rest) {
                    self.replace(&rest[..word.len()], other);
                    rest = &rest[word.len()..];
                    continue;
                }
            }
            let length = letter.len_utf8();
            let is_article = begins
                && matches!(letter, 'a' | 'A')
                && rest[length..].starts_with([' ', '\u{a0}']);
            if is_article {
                self.written.push(letter);
                self.article = Some(self.written.len());
            } else {
                if !letter.is_whitespace() {
                    self.article = None;
                }
                self.written.push(letter);
            }
            self.before = letter;
            rest = &rest[length..];
        }
    }

    /// Puts a text as it is.
    fn copy(&mut self, text: &str) {
        self.article = None;
        self.written.push_str(text);
        self.before = text.chars().last().unwrap_or(' ');
    }

    /// Puts the other word for a word, with an article and a capital that fit.
    fn replace(&mut self, word: &str, other: &str) {
        let is_vowel = other.starts_with(['a', 'e', 'i', 'o', 'u']) || other == "HT";
        if let Some(at) = self.article.take().filter(|_| is_vowel) {
            self.written.insert(at, 'n');
        }
        let mut letters = other.chars();
        match letters.next() {
            Some(first) if word.starts_with(char::is_uppercase) => {
                self.written.extend(first.to_uppercase());
                self.written.push_str(letters.as_str());
            }
            _ => self.written.push_str(other),
        }
        self.before = word.chars().last().unwrap_or(' ');
    }

    /// Puts a tag, with the attributes in it that are read aloud.
    fn tag(&mut self, tag: &str) {
        let mut rest = tag;
        while let Some(at) = rest.find("=\"") {
            let (before, after) = rest.split_at(at + 2);
            let Some(end) = after.find('"') else { break };
            self.written.push_str(before);
            let name = before[..at].rsplit([' ', '\n']).next().unwrap_or_default();
            let value = &after[..end];
            match READ_ALOUD.contains(&name) {
                true => self.written.push_str(&Writer::new(self.typed).text(value)),
                false => self.written.push_str(value),
            }
            rest = &after[end..];
        }
        self.written.push_str(rest);
    }
}

/// Where a tag ends: at a `>` that stands in no attribute.
fn end_of_tag(tag: &str) -> usize {
    let mut quoted = false;
    for (at, letter) in tag.char_indices() {
        match letter {
            '"' => quoted = !quoted,
            '>' if !quoted => return at + 1,
            _ => {}
        }
    }
    tag.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn valve(text: &str) -> String {
        Vocabulary::Valve.markup(text, &[])
    }

    #[test]
    fn words_change_with_their_articles_and_capitals() {
        for (tube, valve_words) in [
            ("A plate and a tube", "An anode and a valve"),
            (
                "Plate to plate, or plate to B+",
                "Anode to anode, or anode to HT",
            ),
            ("the tubes’ plates", "the valves’ anodes"),
            ("a <b>ground</b>", "an <b>earth</b>"),
            (
                "is a <b class=\"plate\">B+</b> lead",
                "is an <b class=\"plate\">HT</b> lead",
            ),
            (
                "discharge the filter capacitors",
                "discharge the smoothing capacitors",
            ),
            ("one filter capacitor", "one smoothing capacitor"),
            ("Both grounded", "Both earthed"),
            ("plate-to-plate", "anode-to-anode"),
            ("a good plate", "a good anode"),
            ("5 mA plate", "5 mA anode"),
        ] {
            assert_eq!(valve(tube), valve_words);
        }
    }

    #[test]
    fn other_words_stay() {
        for text in [
            "a template in the background, underground",
            "platelet B++ AB+ tubular",
            "<input value=\"plate\" data-do=\"turn.tube\" id=\"tube\">",
            "<p class=\"tube\" data-x=\"a > plate\"></p>",
        ] {
            assert_eq!(valve(text), text);
        }
    }

    #[test]
    fn what_is_read_aloud_changes_too() {
        assert_eq!(
            valve("<p aria-label=\"How hard the tube runs\" id=\"tube\">tube</p>"),
            "<p aria-label=\"How hard the valve runs\" id=\"tube\">valve</p>"
        );
    }

    #[test]
    fn what_was_typed_stays() {
        let typed = with_words(["Tube & cab", "plate blue, red B+ 5k", "tube"]);
        let changed = |markup: &str| Vocabulary::Valve.markup(markup, &typed);
        assert_eq!(changed("tube: Tube &amp; cab"), "valve: Tube &amp; cab");
        assert_eq!(changed("use plate blue"), "use plate blue");
        assert_eq!(changed("<b>8</b><i>Plate</i>"), "<b>8</b><i>Anode</i>");
        let typed = with_words(["plate blue 8k"]);
        let lead = "<b>plate blue</b> 8 kΩ";
        assert_eq!(Vocabulary::Valve.markup(lead, &typed), lead);
        assert_eq!(changed("the plate"), "the anode");
        assert_eq!(changed("Vacuum tube"), "Vacuum valve");
    }

    #[test]
    fn what_is_not_to_be_translated_stays() {
        let text = "<b translate=\"no\">plate</b>";
        assert_eq!(valve(text), text);
    }

    #[test]
    fn strays_are_found() {
        assert_eq!(stray("the valves", Vocabulary::Valve), Some("valves"));
        assert_eq!(stray("to HT.", Vocabulary::Valve), Some("HT"));
        assert_eq!(stray("to B+, red", Vocabulary::Tube), Some("B+"));
        assert_eq!(stray("templates", Vocabulary::Tube), None);
    }
}
