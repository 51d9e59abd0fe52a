//! Corners, residuals, redundancies and covariances against scipy and numpy (`oracles/survey_scipy.py`): eighteen rooms, 4 to
//! 8 corners, 1 to 9 readings to spare; and twelve with ties from the first wall or from a string.

#![expect(clippy::unwrap_used, reason = "a reference file that cannot be read fails the test")]

mod rooms;

use rooms::{input, tape};
use survey::{Height, Tie, adjust};

fn rows(text: &str) -> Vec<(&str, Vec<f64>)> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split_once(';').unwrap())
        .map(|(case, rest)| (case, rest.split(';').map(|t| t.parse().unwrap()).collect()))
        .collect()
}

#[track_caller]
fn close(what: &str, ours: f64, theirs: f64, tolerance: f64) {
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours} here, {theirs} there");
}

/// scipy.optimize.least_squares; numpy.linalg.pinv of the normal matrix; scipy.stats.chi2.sf.
#[test]
fn adjustment_and_covariance() {
    let tapes = rows(include_str!("reference/tapes_scipy.csv"));
    let ties = rows(include_str!("reference/ties_scipy.csv"));
    let corners = rows(include_str!("reference/corners_scipy.csv"));
    let all = rows(include_str!("reference/rooms_scipy.csv"));
    assert_eq!(all.len(), 30);
    for (case, room) in all {
        let names: String = ('A'..='Z').take(room[0] as usize).collect();
        let mut given = input(&names);
        let here: Vec<&Vec<f64>> = tapes.iter().filter(|(c, _)| *c == case).map(|(_, row)| row).collect();
        given.tapes = here.iter().map(|row| tape(row[0] as usize, row[1] as usize, row[2])).collect();
        let tied: Vec<&Vec<f64>> = ties.iter().filter(|(c, _)| *c == case).map(|(_, row)| row).collect();
        given.ties = tied
            .iter()
            .map(|row| Tie {
                corner: row[0] as usize,
                from: row[1] as usize,
                to: row[2] as usize,
                along_mm: (row[3] > 0.5).then_some(row[4]),
                offset_mm: (row[3] < 0.5).then_some(row[4]),
                height: Height::Ceiling,
                sd_mm: None,
            })
            .collect();
        let survey = adjust(&given).unwrap();
        assert_eq!(survey.readings.len(), here.len() + tied.len());
        for (reading, row) in survey.readings.iter().skip(here.len()).zip(&tied) {
            close(&format!("{case} {}", reading.name), reading.residual_mm, row[5], 1e-4);
            close(&format!("{case} {}", reading.name), reading.redundancy, row[6], 1e-6);
        }
        // A failed global test multiplies by sigma0; the reference does not.
        let scale = if survey.global_test.passed { 1.0 } else { survey.global_test.sigma0 };
        close(case, survey.global_test.sum_of_squares, room[1], 1e-6 * room[1].max(1.0));
        assert_eq!(survey.global_test.redundancy, room[2] as usize);
        close(case, survey.global_test.chance, room[3], 1e-6);
        close(case, survey.area_mm2, room[4], 1.0);
        close(case, survey.area_sd_mm2 / scale, room[5], 1e-4 * room[5]);
        for (reading, row) in survey.readings.iter().zip(&here) {
            close(&format!("{case} {}", reading.name), reading.residual_mm, row[3], 1e-4);
            close(&format!("{case} {}", reading.name), reading.redundancy, row[4], 1e-6);
        }
        for (_, row) in corners.iter().filter(|(c, _)| *c == case) {
            let corner = &survey.corners[row[0] as usize];
            let what = format!("{case} {}", corner.name);
            close(&what, corner.at.x_mm, row[1], 1e-3);
            close(&what, corner.at.y_mm, row[2], 1e-3);
            close(&what, corner.ellipse.major_mm / scale, row[3], 1e-5 * row[3]);
            close(&what, corner.ellipse.minor_mm / scale, row[4], 1e-5 * row[3]);
        }
    }
}
