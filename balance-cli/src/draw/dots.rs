//! The dots of a PNG: drawn finer than they are shown, band by band, a byte of grey each.

use std::convert::Infallible;

use plotters_backend::{BackendColor, BackendCoord, DrawingBackend, DrawingErrorKind};

/// Each dot shown is the mean of this many drawn dots each way: smooth edges and letters in their places.
pub(super) const OVERSAMPLED: u32 = 3;
/// About so many drawn dots are held at a time; a whole sheet for printing has five times as many.
const AT_A_TIME: u32 = 16_000_000;
const PAPER: u8 = 255;

/// Some rows of a sheet, to be drawn on as if they were the whole: what lies above or below is dropped.
pub(super) struct Band {
    fine: Vec<u8>,
    /// Of the whole sheet, in drawn dots.
    size: (u32, u32),
    /// The first row, in drawn dots.
    top: i32,
}

impl Band {
    /// How many rows of shown dots make a band on a sheet so wide.
    pub(super) fn rows(width: u32) -> u32 {
        (AT_A_TIME / (width * OVERSAMPLED * OVERSAMPLED).max(1)).max(1)
    }

    /// An empty band of `count` rows from `top` on a sheet of this size, in shown dots.
    pub(super) fn new((width, height): (u32, u32), top: u32, count: u32) -> Self {
        let dots = width as usize * count as usize * (OVERSAMPLED * OVERSAMPLED) as usize;
        let size = (width * OVERSAMPLED, height * OVERSAMPLED);
        Self { fine: vec![PAPER; dots], size, top: (top * OVERSAMPLED) as i32 }
    }

    /// Adds the shown dots, each the mean of the drawn ones under it.
    pub(super) fn shrink_into(&self, rows: &mut Vec<u8>) {
        let (step, row) = (OVERSAMPLED as usize, self.size.0 as usize);
        let all = (step * step) as u16;
        let mut sums = vec![0_u16; row / step];
        for block in self.fine.chunks_exact(row * step) {
            sums.fill(all / 2);
            for row in block.chunks_exact(row) {
                for (sum, dots) in sums.iter_mut().zip(row.chunks_exact(step)) {
                    *sum += dots.iter().map(|&dot| u16::from(dot)).sum::<u16>();
                }
            }
            rows.extend(sums.iter().map(|sum| u8::try_from(sum / all).unwrap_or(PAPER)));
        }
    }
}

impl DrawingBackend for &mut Band {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        self.size
    }

    fn ensure_prepared(&mut self) -> Result<(), DrawingErrorKind<Infallible>> {
        Ok(())
    }

    fn present(&mut self) -> Result<(), DrawingErrorKind<Infallible>> {
        Ok(())
    }

    /// Our inks are grey: one of the three colours tells.
    fn draw_pixel(
        &mut self,
        (x, y): BackendCoord,
        colour: BackendColor,
    ) -> Result<(), DrawingErrorKind<Infallible>> {
        let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y - self.top)) else { return Ok(()) };
        let width = self.size.0 as usize;
        if x < width
            && let Some(dot) = self.fine.get_mut(y * width + x)
        {
            let (old, new) = (f64::from(*dot), f64::from(colour.rgb.0));
            *dot = if colour.alpha >= 1.0 {
                colour.rgb.0
            } else {
                (old + (new - old) * colour.alpha).round() as u8
            };
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dot_is_the_mean_of_those_drawn_under_it_and_bands_join() {
        let black = BackendColor { alpha: 1.0, rgb: (0, 0, 0) };
        let (mut whole, mut parts) = (Vec::new(), Vec::new());
        let draw = |mut band: Band, rows: &mut Vec<u8>| {
            for at in [(0, 0), (1, 0), (4, 3), (2, 5), (99, 1), (-1, 2)] {
                (&mut band).draw_pixel(at, black).unwrap();
            }
            band.shrink_into(rows);
        };
        draw(Band::new((2, 2), 0, 2), &mut whole);
        draw(Band::new((2, 2), 0, 1), &mut parts);
        draw(Band::new((2, 2), 1, 1), &mut parts);
        // By hand: two of nine black, none, one of nine, one of nine.
        assert_eq!(whole, [198, 255, 227, 227]);
        assert_eq!(parts, whole);
    }
}
