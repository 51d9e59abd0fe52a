//! One declaration for a table: its struct, keys, ranges, defaults and reference text.

/// Declares a struct whose fields are the keys of a table: `key: Type [least, most] = default`.
macro_rules! keyed {
    (
        $(#[doc = $about:literal])+
        pub struct $name:ident {
            $( $(#[doc = $doc:literal])+ $key:ident : $ty:ty $([$least:expr, $most:expr])? $(= $default:expr)? ),+ $(,)?
        }
    ) => {
        $(#[doc = $about])+
        #[derive(Clone, Debug, PartialEq, serde::Serialize)]
        pub struct $name {
            $(
                $(#[doc = $doc])+
                $(#[doc = concat!("Valid from ", stringify!($least), " to ", stringify!($most), ".")])?
                pub $key: $ty
            ),+
        }
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
            /// The word as it stands in the file.
            pub const fn word(self) -> &'static str {
                match self { $( Self::$variant => $word ),+ }
            }
        }
    };
}

pub(crate) use keyed;
pub(crate) use words;
