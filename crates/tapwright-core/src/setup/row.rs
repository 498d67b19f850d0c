//! One row of the table of fields: all that is said of one field.

use tapwright_units::Unit;
use tapwright_units::entry::Expected;

/// All that is said of one field. The set-up, the link, the values, the form, the line under
/// the field, the declaration for scripts and the README's table of keys come from it.
#[derive(Debug)]
pub struct Row {
    /// Its key on the page, in complaints and in the objects of scripts. In a list of rows
    /// the list's key and the row's number stand before it: `hookup.1.speakers`.
    pub key: &'static str,
    /// Its key in a link, where that is another one.
    pub link_key: &'static str,
    /// What it holds, in one sentence.
    pub what: &'static str,
    /// What its range is about, as in “a grid voltage”.
    pub noun: &'static str,
    /// How it is read.
    pub reads: Reads,
    /// Something that is understood here.
    pub example: &'static str,
    /// Its label on the form. `{n}` stands for the number of a row in a list.
    pub label: &'static str,
    /// What the empty field shows, where that is not the example.
    pub placeholder: &'static str,
    /// What it means when it is empty, for the line under the field.
    pub empty: &'static str,
    /// When it is asked for.
    pub asked: Asked,
    /// Where it stands on the form: the fold, and its line there. Fields of one line stand
    /// side by side.
    pub place: (Fold, u8),
    /// Where it stands in its line, if not in the order of the table.
    pub column: u8,
}

/// How the text of a field is read.
#[derive(Debug, Clone, Copy)]
pub enum Reads {
    /// By a function of its own.
    Text,
    /// As one number in this unit, between the least and the most.
    Number(Unit, f64, f64),
    /// By a function of its own; each number in it is in this unit, between the least and the
    /// most.
    Numbers(Unit, f64, f64),
    /// As one of these words, each with its label on the form. The sentence is what a link
    /// with any other word is told.
    Words(&'static [(&'static str, &'static str)], &'static str),
}

/// When a field is asked for. Where it is not, it keeps its text and is not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asked {
    /// Always.
    Always,
    /// Ohms are stamped on the primary.
    OhmsStamped,
    /// A line voltage and watts are stamped on the primary.
    LineStamped,
    /// Something is stamped on the transformer.
    Stamped,
    /// Nothing is stamped on the transformer.
    Measured,
    /// The stage is push-pull.
    PushPull,
    /// The tube has a screen.
    Screen,
    /// The tube has a screen on a steady supply.
    SteadyScreen,
    /// The tube has a screen on a tap of the primary.
    TappedScreen,
    /// A driver tube is named.
    DriverKnown,
    /// The driver tube is typed from a datasheet.
    OwnDriver,
    /// A driver tube is named, and the pair is fed by a long-tailed one.
    LongTailed,
    /// A driver tube is named, and the stage is push-pull.
    Split,
    /// Feedback is taken from somewhere.
    FeedbackTaken,
    /// No cathode resistor is typed for the stage.
    FixedBias,
    /// A transformer stands between the mains and the amplifier.
    MainsTransformer,
    /// The tube is typed from a datasheet.
    OwnTube,
    /// The tube is typed from a datasheet and has a screen.
    OwnScreen,
}

/// A part of the form whose lines follow from the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fold {
    /// None: the form names the field where it stands.
    None,
    /// What the iron loses.
    Losses,
    /// The bias of the stage.
    Bias,
    /// More of the stage.
    MoreOfStage,
    /// How unlike the two sides are.
    Unlike,
    /// A point of the person's own driver tube.
    OwnDriver,
    /// The stages before the output stage.
    DriverStage,
    /// The feedback.
    Feedback,
    /// What the meter shows at idle.
    Readings,
    /// The same of the second tube of a pair.
    SecondTube,
    /// The cathode at another setting of its resistor.
    OtherSetting,
    /// The idle point that is wanted.
    Wanted,
    /// What the feedback does to the treble.
    FeedbackTreble,
    /// The heaters.
    Heaters,
    /// More of the heaters.
    MoreOfHeaters,
    /// The mains and its transformer.
    Mains,
    /// The rectifier and the first capacitor.
    Rectifier,
    /// A section behind it.
    Section,
    /// The limits of the person's own tube.
    OwnLimits,
    /// A point of the person's own tube.
    Point,
    /// A speaker as it is.
    Driver,
    /// Its Thiele–Small parameters.
    ThieleSmall,
    /// Its measured curve.
    Curve,
}

impl Row {
    /// A row of which nothing is said yet.
    pub(super) const BLANK: Self = Self {
        key: "",
        link_key: "",
        what: "",
        noun: "",
        reads: Reads::Text,
        example: "",
        label: "",
        placeholder: "",
        empty: "",
        asked: Asked::Always,
        place: (Fold::None, 0),
        column: 0,
    };

    /// Its key in a link.
    pub fn link_key(&self) -> &'static str {
        match self.link_key {
            "" => self.key,
            key => key,
        }
    }

    /// What the empty field shows.
    pub fn placeholder(&self) -> &'static str {
        match self.placeholder {
            "" => self.example,
            text => text,
        }
    }

    /// The range of its number, or of each of its numbers.
    ///
    /// ```
    /// use tapwright_core::setup::{Field, StageText};
    /// let cathode = Field::Stage(StageText::Cathode).row().range();
    /// assert_eq!(cathode.map(|range| range.least), Some(1.0));
    /// assert!(Field::Name.row().range().is_none());
    /// ```
    pub fn range(&self) -> Option<Expected> {
        match self.reads {
            Reads::Number(unit, least, most) | Reads::Numbers(unit, least, most) => {
                Some(Expected {
                    unit,
                    least,
                    most,
                    example: self.example,
                    noun: self.noun,
                    joined: unit == Unit::Ohm,
                })
            }
            Reads::Text | Reads::Words(..) => None,
        }
    }
}
