//! Every mistake gets a sentence that says what is wrong and what to do.

use fabric::{
    Cut, CutKind, FabricError,
    air::{Activity, AirCheck, People, check_air},
    buildup::{HeatFlow, Layer},
    duct::{LinedDuct, lined_duct},
    en_338_2016::StrengthClass,
    en_1991_1_3_2003::ground_snow_uk,
    moisture::{Climate, IndoorClimate, MoistureCheck, check_moisture},
    plan_modes::plan_modes,
    timber::{Grade, JoistCheck, Section, check_joist},
};

fn joist(span_m: f64) -> JoistCheck {
    let section = Section { members: 2, member_width_mm: 44.0, depth_mm: 150.0 };
    JoistCheck::flat_roof("J7", section, Grade::Unknown, span_m, 0.45)
}

fn moisture(layer: Layer) -> Result<(), FabricError> {
    check_moisture(&MoistureCheck {
        name: "roof".to_owned(),
        layers: vec![layer],
        flow: HeatFlow::Upwards,
        outdoors: Climate::new("invented", &[5.0; 12], &[85.0; 12])?,
        indoors: IndoorClimate::Constant { temperature_c: 20.0, humidity_percent: 50.0 },
        subdivide_over_m2k_w: None,
    })
    .map(|_| ())
}

#[test]
fn each_mistake_has_its_sentence() {
    let mut notched = joist(3.2);
    notched.cuts = vec![Cut { kind: CutKind::TopNotch, at_m: 1.0, size_mm: 160.0, off_centre_mm: 0.0 }];
    let no_air = AirCheck {
        volume_m3: 40.0,
        people: vec![People { count: 3, activity: Activity::Sitting }],
        session_h: 1.0,
        fresh_air_l_s: None,
        limit_ppm: 1500.0,
        outdoor_ppm: 420.0,
        start_ppm: 420.0,
        inside_c: 20.0,
        equipment_w: 0.0,
    };
    let duct = LinedDuct {
        name: "inlet".to_owned(),
        width_m: 0.0,
        height_m: 0.2,
        length_m: 1.0,
        absorption: [0.5; bands::BAND_COUNT],
        bends: 0,
        air_l_s: 10.0,
    };
    let cases: [(&str, Result<(), FabricError>); 13] = [
        ("the span of joist J7 is 0 m", check_joist(&joist(0.0)).map(|_| ())),
        ("the span of joist J7 is not a number m", check_joist(&joist(f64::NAN)).map(|_| ())),
        (
            "is not a softwood class of EN 338: the nearest is C24",
            StrengthClass::from_name("C25").map(|_| ()),
        ),
        ("notch in the top edge 160 mm deep in a joist 150 mm deep", check_joist(&notched).map(|_| ())),
        ("the vapour resistance s_d of sheet is −2 m", moisture(Layer::sheet("sheet", 0.0002, -2.0))),
        ("still air has 1 and nothing has less", moisture(Layer::solid("fibre", 0.1, 0.04, -1.0))),
        (
            "the temperature of the climate \"station\" has 11 months: give twelve",
            Climate::new("station", &[5.0; 11], &[80.0; 12]).map(|_| ()),
        ),
        (
            "the humidity of March in the climate \"station\" is 120 %",
            Climate::new("station", &[5.0; 12], &{
                let mut humidity = [80.0; 12];
                humidity[2] = 120.0;
                humidity
            })
            .map(|_| ()),
        ),
        (
            "3 people and no way for air in or out: sealed, the room passes 1500 ppm of carbon dioxide after",
            check_air(&no_air).map(|_| ()),
        ),
        ("the clear width of inlet is 0 m", lined_duct(&duct).map(|_| ())),
        ("the snow zone is 9", ground_snow_uk(9.0, 50.0).map(|_| ())),
        (
            "the plan's outline: it crosses itself",
            plan_modes(&[(0.0, 0.0), (4.0, 3.0), (4.0, 0.0), (0.0, 3.0)], 2.2, 5).map(|_| ()),
        ),
        ("the plan's outline has no corner: give at least 3", plan_modes(&[], 2.2, 5).map(|_| ())),
    ];
    for (expected, outcome) in cases {
        let text = outcome.expect_err(expected).to_string();
        assert!(text.contains(expected), "{text:?} lacks {expected:?}");
        assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
    }
}
