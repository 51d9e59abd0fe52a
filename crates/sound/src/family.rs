//! The few numbers no drawing gives: what the mounting of a family of elements adds to its materials.

/// Declares the parameters once: as fields with their doc comments and defaults, and as a list for the fitting program.
macro_rules! family_parameters {
    ($($(#[$doc:meta])* $name:ident: $default:expr;)*) => {
        /// Parameters of the families, each with a physical meaning; the defaults are those fitted on published laboratory data
        /// (`examples/fit.rs`, which also leaves cases out in turn). No parameter belongs to a single case.
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct FamilyParameters {
            $($(#[$doc])* pub $name: f64,)*
        }

        impl Default for FamilyParameters {
            fn default() -> Self {
                Self { $($name: $default,)* }
            }
        }

        impl FamilyParameters {
            /// Names of all parameters, in order.
            pub const NAMES: &'static [&'static str] = &[$(stringify!($name),)*];

            /// The value of a named parameter, for the fitting program.
            pub fn get_mut(&mut self, name: &str) -> Option<&mut f64> {
                match name {
                    $(stringify!($name) => Some(&mut self.$name),)*
                    _ => None,
                }
            }
        }
    };
}

family_parameters! {
    /// Loss factor a thin leaf gains at its edges and fixings, − (Bies, Hansen and Howard, 5th ed., Table C.1 gives boards 0.05 in
    /// place against 0.006 alone).
    mounting_loss: 0.0451;
    /// Loss factor at 500 Hz that the edges of a test opening add to a heavy leaf of 300 kg/m², −; it falls as 1/f, as that of any
    /// resistance does.
    masonry_edge_loss: 0.0106;
    /// Power with which that loss falls with mass, −: the same mortar and frame damp a light wall more.
    masonry_edge_power: 1.79;
    /// Loss factor of the air spring of an empty cavity, −.
    empty_spring_loss: 0.126;
    /// Loss factor that a fill adds to its own in the spring of a cavity, −.
    filled_spring_loss: 0.144;
    /// Loss factor of waves that run along an empty cavity divided by studs, −.
    stud_cavity_loss: 0.0497;
    /// Absorption coefficient of bare reveals, where no studs divide the cavity, −.
    reveal_absorption: 0.346;
    /// Stiffness of the leaf between timber studs over that of a simply supported strip, − (clamped: 5.1).
    timber_bay_stiffness: 3.6;
    /// The same for steel studs, whose flanges turn.
    steel_bay_stiffness: 1.93;
    /// Power radiated by a leaf driven along lines or at points over that by an endless plate, −: bays reflect what runs away.
    bridge_radiation: 4.0;
    /// Share of the mass of studs and joists that slows the leaf they are fixed to, −: screws 0.3 m apart leave the rest free.
    stud_mass_share: 0.23;
    /// Compliance of a metre of timber stud with its screws, 10⁻⁶ m²/N.
    timber_compliance: 0.0407;
    /// Compliance at 500 Hz of a metre of steel stud of 0.5 mm steel and 90 mm web, 10⁻⁶ m²/N.
    steel_compliance: 0.574;
    /// Power with which it falls with the thickness of the steel, −.
    steel_thickness_power: 0.714;
    /// Power with which it grows with the depth of the web, −.
    steel_web_power: 1.45;
    /// Power with which it falls with frequency, − (Davy, JASA 132 (2012) finds a fall as well).
    steel_frequency_power: 1.19;
    /// Compliance at 500 Hz of a metre of resilient channel on studs at 0.6 m, 10⁻⁶ m²/N.
    channel_compliance: 0.502;
    /// Power with which it falls with frequency, −.
    channel_frequency_power: 1.26;
    /// Power with which clips and their bars grow stiffer with frequency above 63 Hz, −: rubber stiffens, and above its first
    /// mode the bar no longer spreads the load.
    clip_frequency_power: 0.955;
    /// Share of the power of a rigid line that the common plates of staggered studs let through, −.
    staggered_share: 0.206;
    /// Share of the power of a rigid line that the floor under two separate frames lets through, −.
    double_share: 0.0253;
    /// Share of the power of a free line that a frame holding the edges of both leaves lets through, −: the leaves hardly move
    /// there.
    frame_share: 0.0637;
}
