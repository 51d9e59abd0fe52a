//! One declaration for a table: its struct, its keys, their ranges, defaults and reference text.

/// Declares a struct whose fields are the keys of a table.
///
/// A field is `key: Type [least, most] = default`; range and default may be left away, and `key as "word"` reads
/// the key `word` of the file. The doc comments become the text of the reference and of the messages.
macro_rules! keyed {
    (
        $(#[doc = $about:literal])+
        $vis:vis struct $name:ident {
            $(
                $(#[doc = $doc:literal])+
                $key:ident $(as $word:literal)? : $ty:ty $([$least:expr, $most:expr])? $(= $default:expr)?
            ),+ $(,)?
        }
    ) => {
        $(#[doc = $about])+
        #[derive(Clone, Debug, PartialEq, serde::Serialize)]
        $vis struct $name {
            $(
                $(#[doc = $doc])+
                $(#[doc = concat!(" Valid from ", stringify!($least), " to ", stringify!($most), ".")])?
                pub $key: $ty
            ),+
        }

        impl $crate::read::field::Keyed for $name {
            const NAMES: &'static [&'static str] = &[
                $( $crate::read::keyed::key_name!($key $($word)?) ),+
            ];

            fn table() -> $crate::schema::Table {
                $crate::schema::Table {
                    about: concat!($($about),+).trim_ascii(),
                    keys: vec![
                        $(
                            {
                                let default: Option<$ty> = $crate::read::keyed::given!($($default)?);
                                $crate::schema::Key {
                                    name: $crate::read::keyed::key_name!($key $($word)?),
                                    about: concat!($($doc),+).trim_ascii(),
                                    shape: <$ty as $crate::read::field::Field>::shape(),
                                    range: $crate::read::keyed::given!($(($least, $most))?),
                                    required: default.is_none() && <$ty as $crate::read::field::Field>::REQUIRED,
                                    default: default.and_then(|value| serde_json::to_value(value).ok()),
                                }
                            }
                        ),+
                    ],
                }
            }

            fn decode_rows(
                rows: &$crate::read::field::Rows<'_, '_>,
                reading: &mut $crate::read::reading::Reading<'_>,
            ) -> Option<Self> {
                rows.report_unknown_keys(reading, Self::NAMES);
                $(
                    let $key: Option<$ty> = rows.take(
                        reading,
                        &$crate::read::field::KeyText {
                            name: $crate::read::keyed::key_name!($key $($word)?),
                            about: concat!($($doc),+).trim_ascii(),
                            range: $crate::read::keyed::given!($(($least, $most))?),
                        },
                        $crate::read::keyed::given!($($default)?),
                    );
                )+
                Some(Self { $($key: $key?),+ })
            }
        }

        impl $crate::read::field::Field for $name {
            const IS_TABLE: bool = true;

            fn shape() -> $crate::schema::Shape {
                $crate::schema::Shape::Table(Box::new(<Self as $crate::read::field::Keyed>::table()))
            }

            fn decode(
                slot: &$crate::read::field::Slot<'_, '_>,
                reading: &mut $crate::read::reading::Reading<'_>,
            ) -> Option<Self> {
                let rows = slot.rows(reading)?;
                <Self as $crate::read::field::Keyed>::decode_rows(&rows, reading)
            }
        }
    };
}

macro_rules! key_name {
    ($key:ident) => {
        stringify!($key)
    };
    ($key:ident $word:literal) => {
        $word
    };
}

macro_rules! given {
    () => {
        None
    };
    ($value:expr) => {
        Some($value)
    };
}

/// Declares an enum whose values are words in the file.
macro_rules! words {
    (
        $(#[doc = $about:literal])+
        pub enum $name:ident { $( $(#[doc = $doc:literal])+ $variant:ident = $word:literal ),+ $(,)? }
    ) => {
        $(#[doc = $about])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
        pub enum $name {
            $( $(#[doc = $doc])+ #[serde(rename = $word)] $variant ),+
        }

        impl $name {
            const WORDS: &'static [(&'static str, &'static str)] =
                &[$( ($word, concat!($($doc),+).trim_ascii()) ),+];

            /// The word as it stands in the file.
            pub const fn word(self) -> &'static str {
                match self { $( Self::$variant => $word ),+ }
            }

            /// The value a word stands for.
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $( $word => Some(Self::$variant), )+ _ => None }
            }
        }

        impl $crate::read::field::Field for $name {
            fn shape() -> $crate::schema::Shape {
                $crate::schema::Shape::Words(Self::WORDS)
            }

            fn decode(
                slot: &$crate::read::field::Slot<'_, '_>,
                reading: &mut $crate::read::reading::Reading<'_>,
            ) -> Option<Self> {
                slot.word(reading, Self::WORDS, Self::from_word)
            }
        }
    };
}

pub(crate) use given;
pub(crate) use key_name;
pub(crate) use keyed;
pub(crate) use words;
