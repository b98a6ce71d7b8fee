//! Factors of the look, as all that is drawn takes them: a number that an author wrote into one that can be used.

/// Factors of the look are kept within these: beyond, pages are no longer legible.
const FACTORS: (f64, f64) = (0.25, 4.0);

/// A factor of the look that can be used.
pub(super) fn sound(factor: f64) -> f64 {
    if factor.is_finite() { factor.clamp(FACTORS.0, FACTORS.1) } else { 1.0 }
}
