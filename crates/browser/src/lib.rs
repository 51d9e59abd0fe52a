//! Nothing but tests: the page opened in a real browser, driven over the W3C WebDriver protocol on loopback.
