//! Bars, clips and boards set out on a ceiling, with an independent check.
