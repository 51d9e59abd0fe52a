//! EN 338:2016 Table 1.

use fabric::en_338_2016::StrengthClass;

/// EN 338:2016 Table 1, softwood, edgewise bending, all twelve rows, as two packages of published tables print it (edition 2016: f_c,90,k of
/// C24 is 2.5 and f_v,k 4.0; older editions differ).
#[test]
fn every_row_of_table_1() {
    const TABLE: &str = "\
C14,14,7.2,0.4,16,2.0,3.0,7.0,4.7,0.23,0.44,290,350
C16,16,8.5,0.4,17,2.2,3.2,8.0,5.4,0.27,0.50,310,370
C18,18,10,0.4,18,2.2,3.4,9.0,6.0,0.30,0.56,320,380
C20,20,11.5,0.4,19,2.3,3.6,9.5,6.4,0.32,0.59,330,400
C22,22,13,0.4,20,2.4,3.8,10.0,6.7,0.33,0.63,340,410
C24,24,14.5,0.4,21,2.5,4.0,11.0,7.4,0.37,0.69,350,420
C27,27,16.5,0.4,22,2.5,4.0,11.5,7.7,0.38,0.72,360,430
C30,30,19,0.4,24,2.7,4.0,12.0,8.0,0.40,0.75,380,460
C35,35,22.5,0.4,25,2.7,4.0,13.0,8.7,0.43,0.81,390,470
C40,40,26,0.4,27,2.8,4.0,14.0,9.4,0.47,0.88,400,480
C45,45,30,0.4,29,2.9,4.0,15.0,10.1,0.50,0.94,410,490
C50,50,33.5,0.4,30,3.0,4.0,16.0,10.7,0.53,1.00,430,520";
    let mut rows = 0;
    for line in TABLE.lines() {
        let (name, values) = line.split_once(',').unwrap();
        let printed: Vec<f64> = values.split(',').map(|value| value.parse().unwrap()).collect();
        let t = StrengthClass::from_name(name).unwrap().timber();
        let ours = [
            t.fm_k_n_mm2,
            t.ft0_k_n_mm2,
            t.ft90_k_n_mm2,
            t.fc0_k_n_mm2,
            t.fc90_k_n_mm2,
            t.fv_k_n_mm2,
            t.e0_mean_kn_mm2,
            t.e0_05_kn_mm2,
            t.e90_mean_kn_mm2,
            t.g_mean_kn_mm2,
            t.rho_k_kg_m3,
            t.rho_mean_kg_m3,
        ];
        assert_eq!(printed, ours, "{name}");
        rows += 1;
    }
    assert_eq!(rows, StrengthClass::ALL.len());
}
