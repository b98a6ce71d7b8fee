//! Links as QR codes (ISO/IEC 18004): modules as one path, with the quiet zone of four modules on every side.

use crate::frame::{Frame, Ink, LinkTarget};
use crate::geom::{Abs, Path, Point, Rect, Size};
use qrcodegen::{QrCode, QrCodeEcc};

/// Side of a module: at least 0.4 mm for a telephone held by hand (common practice); ours is read from a music stand.
const MODULE: Abs = Abs::mm(0.5);
/// White modules around the code (ISO/IEC 18004).
const QUIET: i32 = 4;

/// A link as a code; `None` when it is too long for any code. Its frame includes the quiet zone.
pub(super) fn code(link: &str) -> Option<(Frame, LinkTarget)> {
    let code = QrCode::encode_text(link, QrCodeEcc::Medium).ok()?;
    let side = MODULE * f64::from(code.size() + 2 * QUIET);
    let mut frame = Frame::new(Size::new(side, side));
    let mut path = Path::new();
    let at = |n: i32| MODULE * f64::from(n + QUIET);
    for y in 0..code.size() {
        let mut x = 0;
        while x < code.size() {
            if !code.get_module(x, y) {
                x += 1;
                continue;
            }
            let start = x;
            while x < code.size() && code.get_module(x, y) {
                x += 1;
            }
            let run = Rect::new(Point::new(at(start), at(y)), Point::new(at(x), at(y + 1)));
            path.segments.extend(Path::rect(run).segments);
        }
    }
    frame.fill(Point::default(), path, Ink::Black);
    Some((frame, LinkTarget::Url(link.into())))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO/IEC 18004, worked example quoted in the standard's own guide: 50 alphanumeric characters at level M need
    /// version 3, 29 modules; with four white modules on either side, 37.
    #[test]
    fn fifty_characters_take_version_three() {
        let (frame, _) = code(&"A1".repeat(25)).expect("fifty characters fit");
        assert!((frame.size.width / MODULE - 37.0).abs() < 1e-9);
    }

    #[test]
    fn a_link_too_long_for_a_code_gives_none() {
        assert!(code(&"x".repeat(10_000)).is_none());
    }
}
