//! The few numbers no drawing gives: what the mounting of a family of elements adds to its materials.

/// Declares the parameters once: as fields with their doc comments and defaults, and as a list for the fitting program.
macro_rules! family_parameters {
    ($($(#[$doc:meta])* $name:ident: $default:expr;)*) => {
        /// Parameters of the families, each with a physical meaning; the defaults are those fitted on published laboratory data
        /// (`examples/fit.rs`).
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
    /// Loss factor a thin leaf gains at its edges and frame, −.
    mounting_loss: 0.02;
    /// Further loss factor of a leaf screwed to studs or bars, −.
    fixing_loss: 0.02;
    /// Further loss factor where sheets lie loosely on each other and rub, −.
    friction_loss: 0.01;
    /// Loss factor of the air spring of an empty cavity at the mass–air–mass resonance, −.
    empty_spring_loss: 0.3;
    /// Loss factor added to the spring of a filled cavity, −.
    filled_spring_loss: 0.3;
    /// Absorption coefficient of the edges of an empty cavity, −.
    edge_absorption: 0.1;
    /// Absorption coefficient of two facing leaves together, −.
    leaf_absorption: 0.05;
    /// Strength of the path through the reverberant field of the cavity, −.
    reverberant_strength: 1.0;
    /// Share of the bay stiffness that timber studs hold, −.
    timber_bay_stiffness: 1.0;
    /// Share of the bay stiffness that steel studs hold, −.
    steel_bay_stiffness: 0.3;
    /// Radiation of a leaf driven along lines or at points over that of an infinite plate, −.
    bridge_radiation: 1.0;
    /// Compliance of a metre of timber stud with its screws, 10⁻⁶ m²/N.
    timber_compliance: 0.05;
    /// Compliance of a metre of steel stud of 0.5 mm steel and 90 mm web, 10⁻⁶ m²/N.
    steel_compliance: 1.0;
    /// Power with which compliance falls with the thickness of the steel, −.
    steel_thickness_power: 1.0;
    /// Power with which compliance grows with the depth of the web, −.
    steel_web_power: 1.0;
    /// Power with which the compliance of steel studs falls with frequency above 500 Hz, −.
    steel_frequency_power: 0.5;
    /// Compliance of a metre of resilient channel, 10⁻⁶ m²/N.
    channel_compliance: 10.0;
    /// Compliance of the common plate of staggered studs, 10⁻⁶ m²/N for a metre.
    staggered_compliance: 1.0;
    /// Compliance of what two separate frames share, 10⁻⁶ m²/N for a metre.
    double_compliance: 10.0;
    /// Stiffness of a metre of glazing gasket and frame, 10⁶ N/m².
    frame_stiffness: 10.0;
}
