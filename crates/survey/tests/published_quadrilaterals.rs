//! Six tapes of a quadrilateral: check values S1 to S5 (calculated by an independent least-squares program, printed to
//! the digits used here) and the triangle 3-4-5.

#![expect(clippy::unwrap_used, reason = "a room that cannot be adjusted fails the test")]

mod rooms;

use rooms::{input, tape};
use survey::{Input, Survey, adjust};

fn quadrilateral(ab: f64, bc: f64, cd: f64, da: f64, ac: f64, bd: f64) -> Input {
    let mut room = input("ABCD");
    room.tape_sd_mm = 1.0;
    room.tape_sd_mm_per_m = 0.0;
    room.tapes =
        vec![tape(0, 1, ab), tape(1, 2, bc), tape(2, 3, cd), tape(3, 0, da), tape(0, 2, ac), tape(1, 3, bd)];
    room
}

#[track_caller]
fn close(what: &str, got: f64, printed: f64, half_last_digit: f64) {
    assert!((got - printed).abs() <= half_last_digit, "{what}: {got}, printed {printed}");
}

#[track_caller]
fn corner_at(survey: &Survey, name: &str, x_mm: f64, y_mm: f64, half_last_digit: f64) {
    let at = survey.corner(name).unwrap().at;
    close(name, at.x_mm, x_mm, half_last_digit);
    close(name, at.y_mm, y_mm, half_last_digit);
}

/// S1: exact lengths of A(0,0) B(4800,0) C(4830,3610) D(−20,3570).
#[test]
fn s1_exact_lengths_give_the_room_back() {
    let survey =
        adjust(&quadrilateral(4800.0, 3610.12465, 4850.16495, 3570.05602, 6030.00829, 5998.10804)).unwrap();
    corner_at(&survey, "C", 4830.0, 3610.0, 0.001);
    corner_at(&survey, "D", -20.0, 3570.0, 0.001);
    close("area", survey.area_mm2, 17_321_650.0, 0.5);
    for (name, angle) in [("A", 90.3210), ("B", 90.4761), ("C", 89.0513), ("D", 90.1516)] {
        close(name, survey.corner(name).unwrap().angle_deg, angle, 0.000_05);
    }
    assert!(survey.global_test.rms_residual_mm < 1e-5);
    assert!(survey.global_test.passed && survey.suspect.is_none());
}

/// S2: the same rounded to whole millimetres.
#[test]
fn s2_rounded_lengths_leave_a_small_residual() {
    let survey = adjust(&quadrilateral(4800.0, 3610.0, 4850.0, 3570.0, 6030.0, 5998.0)).unwrap();
    corner_at(&survey, "C", 4830.031, 3609.894, 0.000_5);
    corner_at(&survey, "D", -19.830, 3569.963, 0.000_5);
    close("area", survey.area_mm2, 17_321_097.0, 0.5);
    close("rms residual", survey.global_test.rms_residual_mm, 0.025, 0.000_5);
}

/// S3: one diagonal 8 mm out leaves only 1.65 mm root mean square.
#[test]
fn s3_eight_millimetres_wrong_leave_little_residual() {
    let survey = adjust(&quadrilateral(4800.0, 3610.0, 4850.0, 3570.0, 6030.0, 6006.0)).unwrap();
    close("rms residual", survey.global_test.rms_residual_mm, 1.65, 0.005);
    let suspect = survey.suspect.unwrap();
    assert!(!suspect.located, "one reading to spare finds an error and cannot say where");
}

/// S4: a rectangle 3 by 4 m: all corners square, 12.000 m².
#[test]
fn s4_a_rectangle_is_square() {
    let survey = adjust(&quadrilateral(3000.0, 4000.0, 3000.0, 4000.0, 5000.0, 5000.0)).unwrap();
    for corner in &survey.corners {
        close(&corner.name, corner.angle_deg, 90.0, 1e-6);
        close(&corner.name, corner.out_of_square_deg.unwrap(), 0.0, 1e-6);
    }
    close("area", survey.area_mm2 / 1e6, 12.0, 0.000_5);
    assert_eq!(survey.opposite_walls.len(), 2);
    close("opposite walls", survey.opposite_walls[0].difference_mm, 0.0, 1e-6);
}

/// S5: the same with a diagonal 20 mm out: the error is shared out, and the residuals cannot name the tape.
#[test]
fn s5_a_blunder_is_found_but_cannot_be_located() {
    let survey = adjust(&quadrilateral(3000.0, 4000.0, 3000.0, 4000.0, 5020.0, 5000.0)).unwrap();
    close("residual of A-C", survey.readings[4].residual_mm, -5.015, 0.000_5);
    close("residual of B-D", survey.readings[5].residual_mm, -4.995, 0.000_5);
    close("angle A", survey.corner("A").unwrap().angle_deg, 89.762, 0.000_5);
    close("angle B", survey.corner("B").unwrap().angle_deg, 90.238, 0.000_5);
    let suspect = survey.suspect.unwrap();
    assert!(!suspect.located);
    assert_eq!(suspect.or_else.len(), 5, "any of the six");
    let next = survey.next_tape.unwrap();
    assert!(next.again && (next.name == "A-C" || next.name == "B-D"), "{}", next.sentence);
}

/// Racking a 4 by 3 m rectangle by 10 mm makes the diagonals 5008 and 4992 (printed to the millimetre).
#[test]
fn racking_shows_in_the_diagonals() {
    let survey = adjust(&quadrilateral(4000.0, 3000.0, 4000.0, 3000.0, 5008.0, 4992.0)).unwrap();
    close("C", survey.corner("C").unwrap().at.x_mm, 4010.0, 0.5);
    close("out of square", survey.corner("A").unwrap().out_of_square_mm_per_m.unwrap(), -10.0 / 3.0, 0.05);
}

/// 3-4-5: 900, 1200 and 1500 mm make a right angle.
#[test]
fn three_four_five() {
    let mut room = input("ABC");
    room.tapes = vec![tape(0, 1, 900.0), tape(1, 2, 1200.0), tape(0, 2, 1500.0)];
    let survey = adjust(&room).unwrap();
    close("B", survey.corner("B").unwrap().angle_deg, 90.0, 1e-6);
    assert_eq!(survey.global_test.redundancy, 0);
    assert!(survey.quality.contains("nothing would show a wrong reading"));
}
