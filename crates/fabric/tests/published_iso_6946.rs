//! U-value by the combined method.

use fabric::{
    buildup::{Heat, HeatFlow, Layer, LayerBridge, Vapour, Ventilation},
    heat::{AirGaps, UValueCheck, u_value},
};

#[track_caller]
fn close(ours: f64, printed: f64, half_digit: f64) {
    assert!((ours - printed).abs() <= half_digit, "{ours} where {printed} is printed");
}

/// Scottish building standards, example of a timber-frame wall: way through the fibre 3.971, through the stud 1.715 m² K/W (printed);
/// upper 3.5299, lower 3.4178, total 3.4739, U 0.2879, with gaps of level 1 0.2971 W/(m² K) (computed).
#[test]
fn timber_frame_wall_of_the_scottish_example() {
    let layer = |name: &str, r: f64| Layer {
        name: name.to_owned(),
        thickness_m: 0.1,
        heat: Heat::Resistance(r),
        vapour: Vapour::AirThickness(0.1),
        ventilation: Ventilation::None,
        bridge: None,
    };
    let wool = Layer {
        bridge: Some(LayerBridge { fraction: 0.095, lambda_w_mk: 0.1 / 1.077 }),
        ..layer("mineral wool", 3.333)
    };
    let mut check = UValueCheck {
        layers: vec![
            layer("brick", 0.132),
            layer("cavity", 0.090),
            layer("plywood", 0.146),
            wool,
            layer("plasterboard", 0.100),
        ],
        flow: HeatFlow::Horizontal,
        air_gaps: AirGaps::None,
        fasteners: None,
    };
    let plain = u_value(&check).unwrap();
    assert_eq!(plain.surface_m2k_w, (0.13, 0.04));
    let unbridged = 0.13 + 0.04 + 0.132 + 0.090 + 0.146 + 0.100;
    close(unbridged + 3.333, 3.971, 5e-4);
    close(unbridged + 1.077, 1.715, 5e-4);
    close(plain.upper_m2k_w, 3.5299, 5e-5);
    close(plain.lower_m2k_w, 3.4178, 5e-5);
    close(plain.layers[3].r_m2k_w.unwrap(), 2.7798, 5e-5);
    close(plain.total_m2k_w, 3.4739, 5e-5);
    close(plain.u_w_m2k, 0.2879, 5e-5);
    check.air_gaps = AirGaps::Through;
    let gapped = u_value(&check).unwrap();
    close(gapped.gaps_w_m2k, 0.0092, 5e-5);
    close(gapped.u_w_m2k, 0.2971, 5e-5);
}
