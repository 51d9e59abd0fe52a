//! Modes of plans that are no rectangle.

use fabric::plan_modes::plan_eigenvalues;
use quantities::math::PI;

/// L-shape of three unit squares, free walls: 1.47562182, 3.53403137, π², π², 11.38947940, as the Maxwell benchmark of M. Dauge prints them
/// (domain 2DomA, equal to the scalar problem with free walls) and an independent computation confirms. The first has a singular
/// corner, which a mesh without refinement meets to half a per cent in frequency, the others
/// to a thousandth.
#[test]
fn l_shape_of_the_maxwell_benchmark() {
    let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (0.0, -1.0)];
    let printed = [1.475_621_823_97, 3.534_031_366_78, 9.869_604_401_09, 9.869_604_401_09, 11.389_479_397_9];
    let ours = plan_eigenvalues(&corners).unwrap();
    let within = [0.005, 0.001, 0.001, 0.001, 0.001];
    for ((ours, printed), within) in ours.iter().skip(1).zip(printed).zip(within) {
        let frequency_ratio = (ours / printed).sqrt();
        assert!((frequency_ratio - 1.0).abs() < within, "{ours} where {printed} is printed");
    }
}

/// Right isosceles triangle with legs of 1, free walls, closed form: π²(m² + n²) for m ≥ n, not both 0 (the even modes of the
/// square about its diagonal). The mesh meets the first six to a thousandth in frequency.
#[test]
fn right_isosceles_triangle() {
    let corners = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)];
    let ours = plan_eigenvalues(&corners).unwrap();
    for (ours, sum) in ours.iter().skip(1).zip([1.0, 2.0, 4.0, 5.0, 8.0, 9.0]) {
        let frequency_ratio = (ours / (PI * PI * sum)).sqrt();
        assert!((frequency_ratio - 1.0).abs() < 0.001, "{ours} {sum}");
    }
}
