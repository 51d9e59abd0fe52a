//! The sounds outdoors. Every spectrum adds up to the total it is entered with.

use bands::Spectrum;

use crate::{
    Background,
    Basis::{Published, Typical},
    OutdoorSound,
};

pub(crate) static OUTDOOR_SOUNDS: &[OutdoorSound] = &[
    OutdoorSound {
        id: "road-traffic",
        name: "urban road traffic",
        level_db_a: 62.0,
        spectrum: Spectrum::from_values([
            66.9, 66.9, 66.9, 66.9, 64.9, 63.2, 60.8, 57.8, 57.1, 56.6, 55.3, 54.3, 53.5, 52.9, 52.6, 53.5,
            53.7, 52.1, 50.7, 49.5, 47.4, 45.5, 44.7, 43.2, 40.2, 37.2, 33.2,
        ]),
        level_spread_db: 6.0,
        maximum_over_average_db: 15.0,
        basis: Published(SPECTRUM_TWO),
    },
    OutdoorSound {
        id: "road-traffic-fast",
        name: "road traffic above 80 km/h",
        level_db_a: 65.0,
        spectrum: Spectrum::from_values([
            53.9, 53.9, 53.9, 53.9, 53.9, 53.2, 53.8, 53.8, 54.1, 53.6, 53.3, 53.3, 53.5, 53.9, 53.6, 53.5,
            53.7, 54.1, 53.7, 53.5, 53.4, 53.5, 53.7, 54.2, 51.2, 48.2, 44.2,
        ]),
        level_spread_db: 6.0,
        maximum_over_average_db: 12.0,
        basis: Published(SPECTRUM_ONE),
    },
    OutdoorSound {
        id: "railway",
        name: "railway, medium and high speed, near by",
        level_db_a: 60.0,
        spectrum: Spectrum::from_values([
            48.9, 48.9, 48.9, 48.9, 48.9, 48.2, 48.8, 48.8, 49.1, 48.6, 48.3, 48.3, 48.5, 48.9, 48.6, 48.5,
            48.7, 49.1, 48.7, 48.5, 48.4, 48.5, 48.7, 49.2, 46.2, 43.2, 39.2,
        ]),
        level_spread_db: 7.0,
        maximum_over_average_db: 20.0,
        basis: Published(SPECTRUM_ONE),
    },
    OutdoorSound {
        id: "railway-slow",
        name: "railway, low speed",
        level_db_a: 58.0,
        spectrum: Spectrum::from_values([
            62.9, 62.9, 62.9, 62.9, 60.9, 59.2, 56.8, 53.8, 53.1, 52.6, 51.3, 50.3, 49.5, 48.9, 48.6, 49.5,
            49.7, 48.1, 46.7, 45.5, 43.4, 41.5, 40.7, 39.2, 36.2, 33.2, 29.2,
        ]),
        level_spread_db: 7.0,
        maximum_over_average_db: 18.0,
        basis: Published(SPECTRUM_TWO),
    },
    OutdoorSound {
        id: "aircraft",
        name: "aircraft, far off or with propellers",
        level_db_a: 55.0,
        spectrum: Spectrum::from_values([
            59.9, 59.9, 59.9, 59.9, 57.9, 56.2, 53.8, 50.8, 50.1, 49.6, 48.3, 47.3, 46.5, 45.9, 45.6, 46.5,
            46.7, 45.1, 43.7, 42.5, 40.4, 38.5, 37.7, 36.2, 33.2, 30.2, 26.2,
        ]),
        level_spread_db: 7.0,
        maximum_over_average_db: 20.0,
        basis: Published(SPECTRUM_TWO),
    },
    OutdoorSound {
        id: "aircraft-near",
        name: "jet aircraft, near",
        level_db_a: 62.0,
        spectrum: Spectrum::from_values([
            50.9, 50.9, 50.9, 50.9, 50.9, 50.2, 50.8, 50.8, 51.1, 50.6, 50.3, 50.3, 50.5, 50.9, 50.6, 50.5,
            50.7, 51.1, 50.7, 50.5, 50.4, 50.5, 50.7, 51.2, 48.2, 45.2, 41.2,
        ]),
        level_spread_db: 7.0,
        maximum_over_average_db: 22.0,
        basis: Published(SPECTRUM_ONE),
    },
    OutdoorSound {
        id: "children-playing",
        name: "children playing",
        level_db_a: 58.0,
        spectrum: Spectrum::from_values([
            46.9, 46.9, 46.9, 46.9, 46.9, 46.2, 46.8, 46.8, 47.1, 46.6, 46.3, 46.3, 46.5, 46.9, 46.6, 46.5,
            46.7, 47.1, 46.7, 46.5, 46.4, 46.5, 46.7, 47.2, 44.2, 41.2, 37.2,
        ]),
        level_spread_db: 6.0,
        maximum_over_average_db: 15.0,
        basis: Published(SPECTRUM_ONE),
    },
    OutdoorSound {
        id: "neighbours-voices",
        name: "neighbours' voices in the garden",
        level_db_a: 50.0,
        spectrum: Spectrum::from_values([
            -3.9, 0.1, 4.1, 8.1, 12.1, 16.1, 24.1, 30.1, 33.1, 34.2, 40.2, 40.8, 42.4, 44.4, 44.0, 42.6,
            41.1, 40.1, 37.9, 35.6, 33.6, 32.4, 30.0, 25.7, 22.9, 21.3, 18.3,
        ]),
        level_spread_db: 6.0,
        maximum_over_average_db: 12.0,
        basis: Typical(
            "shape of the raised voice of ANSI S3.5-1997, from memory; level of one raised voice at about 7 \
             m without reflections",
        ),
    },
    OutdoorSound {
        id: "garden-machine",
        name: "mower or hedge cutter next door",
        level_db_a: 65.0,
        spectrum: Spectrum::from_values([
            51.5, 53.5, 55.5, 57.5, 59.5, 60.8, 62.2, 63.5, 62.8, 62.2, 61.5, 60.2, 58.8, 57.5, 56.5, 55.5,
            54.5, 53.5, 52.5, 51.5, 50.2, 48.8, 47.5, 45.5, 43.5, 41.5, 39.5,
        ]),
        level_spread_db: 6.0,
        maximum_over_average_db: 8.0,
        basis: Typical("all numbers assumed"),
    },
];

pub(crate) static BACKGROUNDS: &[Background] = &[
    Background {
        id: "rural-night",
        name: "open country at night",
        level_db_a: 20.0,
        spectrum: Spectrum::from_values([
            35.9, 34.2, 32.5, 30.9, 29.2, 26.5, 23.9, 21.2, 19.2, 17.2, 15.2, 13.9, 12.5, 11.2, 10.5, 9.9,
            9.2, 7.9, 6.5, 5.2, 4.5, 3.9, 3.2, 2.9, 2.5, 2.2, 1.9,
        ]),
        level_spread_db: 4.0,
        basis: Typical(BACKGROUND),
    },
    Background {
        id: "quiet-suburban-night",
        name: "quiet suburb at night",
        level_db_a: 27.0,
        spectrum: Spectrum::from_values([
            38.9, 37.9, 36.9, 35.9, 34.9, 32.6, 30.3, 27.9, 26.3, 24.6, 22.9, 21.8, 20.6, 19.4, 18.8, 18.1,
            17.4, 15.3, 13.1, 10.9, 8.9, 6.9, 4.9, 3.6, 2.3, 0.9, -0.4,
        ]),
        level_spread_db: 4.0,
        basis: Typical(BACKGROUND),
    },
    Background {
        id: "quiet-suburban-evening",
        name: "quiet suburb in the evening",
        level_db_a: 34.0,
        spectrum: Spectrum::from_values([
            45.9, 44.9, 43.9, 42.9, 41.9, 39.6, 37.3, 34.9, 33.3, 31.6, 29.9, 28.8, 27.6, 26.4, 25.8, 25.1,
            24.4, 22.3, 20.1, 17.9, 15.9, 13.9, 11.9, 10.6, 9.3, 7.9, 6.6,
        ]),
        level_spread_db: 4.0,
        basis: Typical(BACKGROUND),
    },
    Background {
        id: "quiet-suburban-day",
        name: "quiet suburb by day",
        level_db_a: 40.0,
        spectrum: Spectrum::from_values([
            47.6, 46.9, 46.3, 45.6, 44.9, 42.9, 40.9, 38.9, 37.6, 36.3, 34.9, 33.9, 32.9, 31.9, 31.6, 31.3,
            30.9, 29.3, 27.6, 25.9, 24.3, 22.6, 20.9, 18.9, 16.9, 14.9, 12.9,
        ]),
        level_spread_db: 5.0,
        basis: Typical(BACKGROUND),
    },
    Background {
        id: "urban-night",
        name: "town at night",
        level_db_a: 36.0,
        spectrum: Spectrum::from_values([
            41.7, 41.1, 40.4, 39.7, 39.1, 37.4, 35.7, 34.1, 32.7, 31.4, 30.1, 29.4, 28.7, 28.1, 27.7, 27.4,
            27.1, 25.7, 24.4, 23.1, 20.7, 18.4, 16.1, 13.4, 10.7, 8.1, 5.4,
        ]),
        level_spread_db: 5.0,
        basis: Typical(BACKGROUND),
    },
    Background {
        id: "urban-evening",
        name: "town in the evening",
        level_db_a: 44.0,
        spectrum: Spectrum::from_values([
            49.7, 49.1, 48.4, 47.7, 47.1, 45.4, 43.7, 42.1, 40.7, 39.4, 38.1, 37.4, 36.7, 36.1, 35.7, 35.4,
            35.1, 33.7, 32.4, 31.1, 28.7, 26.4, 24.1, 21.4, 18.7, 16.1, 13.4,
        ]),
        level_spread_db: 5.0,
        basis: Typical(BACKGROUND),
    },
    Background {
        id: "urban-day",
        name: "town by day",
        level_db_a: 51.0,
        spectrum: Spectrum::from_values([
            56.7, 56.1, 55.4, 54.7, 54.1, 52.4, 50.7, 49.1, 47.7, 46.4, 45.1, 44.4, 43.7, 43.1, 42.7, 42.4,
            42.1, 40.7, 39.4, 38.1, 35.7, 33.4, 31.1, 28.4, 25.7, 23.1, 20.4,
        ]),
        level_spread_db: 5.0,
        basis: Typical(BACKGROUND),
    },
];

const SPECTRUM_TWO: &str = "shape: sound spectrum no. 2 of ISO 717-1:2020, Tables 4 and B.1, 50 Hz to 5 \
                            kHz, with the weighting A taken off; which sounds it stands for from memory of \
                            its Annex A; other bands, level and spread assumed";
const SPECTRUM_ONE: &str = "shape: sound spectrum no. 1 of ISO 717-1:2020, Tables 4 and B.1, 50 Hz to 5 \
                            kHz, with the weighting A taken off; which sounds it stands for from memory of \
                            its Annex A; other bands, level and spread assumed";
const BACKGROUND: &str = "shape and level of distant traffic assumed; measure the site's own";
