//! The two macros that turn the rows of the table into Rust: `texts!` makes a group of fields,
//! `fields!` puts groups, lists of rows and single fields in the order of a link.

/// Makes a group of texts from its rows: the texts themselves, their names, and the way from
/// one to the other. A field's key is the name of its text.
macro_rules! texts {
    ($(#[doc = $about:literal])+ $entry:ident $text:ident {$(
        $(#[doc = $what:literal])+ $variant:ident: $name:ident { $($part:ident: $value:expr,)* }
    )*}) => {
        $(#[doc = $about])+
        ///
        /// Holds texts as typed; `T` is `Option<f64>` for the numbers that were read from them.
        #[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
        #[serde(default)]
        pub struct $entry<T = String> {
            $($(#[doc = $what])+ pub $name: T,)*
        }

        #[doc = concat!("The name of a text of [`", stringify!($entry), "`].")]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $text {
            $($(#[doc = $what])+ $variant,)*
        }

        impl $text {
            /// Every text, in the order of a link.
            pub const ALL: &[Self] = &[$(Self::$variant,)*];

            /// Its row of the table.
            pub const fn row(self) -> &'static Row {
                match self {
                    $(Self::$variant => &Row {
                        key: stringify!($name),
                        what: concat!($($what),+),
                        $($part: $value,)*
                        ..Row::BLANK
                    },)*
                }
            }
        }

        impl<T> $entry<T> {
            /// The same of whatever `make` makes of each text.
            pub fn from_each(mut make: impl FnMut($text) -> T) -> Self {
                Self { $($name: make($text::$variant),)* }
            }

            /// The one with this name.
            pub fn get(&self, text: $text) -> &T {
                match text { $($text::$variant => &self.$name,)* }
            }

            /// The one with this name, to be changed.
            pub fn get_mut(&mut self, text: $text) -> &mut T {
                match text { $($text::$variant => &mut self.$name,)* }
            }
        }
    };
}

/// Makes [`Field`](super::Field) and [`List`](super::List) from the table, and finds what they
/// name in a [`Setup`](super::Setup). A block of the table holds single fields, then groups,
/// then lists.
macro_rules! fields {
    ($({
        $($(#[doc = $what:literal])+ $single:ident: $($at:ident).+ {
            $($part:ident: $value:expr,)*
        })*
        $(group $(#[doc = $group_is:literal])+ $group:ident($name:ident): $($in_group:ident).+;)*
        $(list $(#[doc = $list_is:literal])+ $list:ident($cell:ident): $($in_list:ident).+ {
            $($list_part:ident: $list_value:expr,)*
        })*
    })+) => {
        /// One field of a [`Setup`]: where a text was typed, or a complaint belongs. Rows of a
        /// list are counted from 0.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Field {$(
            $($(#[doc = $what])+ $single,)*
            $($(#[doc = $group_is])+ $group($name),)*
            $($(#[doc = $list_is])+ $list(usize, $cell),)*
        )+}

        /// A list of rows that can be added and removed.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, VariantArray, EnumString, IntoStaticStr)]
        #[strum(serialize_all = "kebab-case")]
        pub enum List {$($($(#[doc = $list_is])+ $list,)*)+}

        impl Place {
            fn in_order() -> Vec<Self> {
                std::iter::empty()$(
                    .chain([$(Self::Field(Field::$single),)*])
                    $(.chain($name::ALL.iter().map(|text| Self::Field(Field::$group(*text)))))*
                    .chain([$(Self::List(List::$list),)*])
                )+.collect()
            }
        }

        impl Field {
            /// Its row of the table.
            pub const fn row(self) -> &'static Row {
                match self {$(
                    $(Self::$single => &Row {
                        what: concat!($($what),+),
                        $($part: $value,)*
                        ..Row::BLANK
                    },)*
                    $(Self::$group(text) => text.row(),)*
                    $(Self::$list(_, text) => text.row(),)*
                )+}
            }

            /// The list that it belongs to, and its row there.
            pub fn in_list(self) -> Option<(List, usize)> {
                match self {
                    $($(Self::$list(at, _) => Some((List::$list, at)),)*)+
                    _ => None,
                }
            }
        }

        impl List {
            /// What is said of it.
            pub const fn about(self) -> &'static Rows {
                match self {$($(Self::$list => &Rows {
                    what: concat!($($list_is),+),
                    $($list_part: $list_value,)*
                },)*)+}
            }

            /// The fields of one of its rows, in the order of a link.
            pub fn fields(self, at: usize) -> Vec<Field> {
                match self {$($(
                    Self::$list => $cell::ALL.iter().map(|text| Field::$list(at, *text)).collect(),
                )*)+}
            }

            pub(super) fn of(self, setup: &Setup) -> &dyn Listed {
                match self {$($(Self::$list => &setup.$($in_list).+,)*)+}
            }

            pub(super) fn of_mut(self, setup: &mut Setup) -> &mut dyn Listed {
                match self {$($(Self::$list => &mut setup.$($in_list).+,)*)+}
            }
        }

        impl Setup {
            fn typed(&self, field: Field) -> Option<&dyn Typed> {
                Some(match field {$(
                    $(Field::$single => &self.$($at).+,)*
                    $(Field::$group(text) => self.$($in_group).+.get(text),)*
                    $(Field::$list(at, text) => self.$($in_list).+.get(at)?.get(text),)*
                )+})
            }

            fn typed_mut(&mut self, field: Field) -> Option<&mut dyn Typed> {
                Some(match field {$(
                    $(Field::$single => &mut self.$($at).+,)*
                    $(Field::$group(text) => self.$($in_group).+.get_mut(text),)*
                    $(Field::$list(at, text) => self.$($in_list).+.get_mut(at)?.get_mut(text),)*
                )+})
            }
        }
    };
}
