//! Pictures with their numbers, balloons and legends.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::emit::EmitError;
use crate::emit::phrase::figure::{numbered, percent};
use crate::emit::text::{data_address, media_type};
use crate::emit::words::Words;
use crate::model::Shown;
use crate::plan::figures::{OnPaper, balloon};

/// A picture as it stands in a step.
#[derive(Serialize)]
pub(super) struct FigureView {
    /// `Figure 3`
    number: String,
    data: String,
    alt: String,
    /// Only in which fittings.
    when: Option<String>,
    /// Width on paper in millimetres.
    width: String,
    callouts: Vec<CalloutView>,
    legend: Vec<Entry>,
    #[serde(skip)]
    height: u32,
}

/// A balloon with its leader to the place that it points at.
#[derive(Serialize)]
struct CalloutView {
    number: u32,
    /// The place, in percent.
    across: String,
    down: String,
    /// The middle of the balloon, from the place, in millimetres.
    x: String,
    y: String,
}

#[derive(Serialize)]
struct Entry {
    number: u32,
    title: String,
}

impl FigureView {
    /// About how many lines of paper it takes.
    pub(super) fn lines(&self) -> usize {
        /// The height of a line, in tenths of a millimetre.
        const LINE: u32 = 36;
        let legend = u32::try_from(self.legend.len()).unwrap_or(u32::MAX).saturating_mul(LINE);
        // The legend stands beside the picture, or beneath it where the picture is wide.
        1 + usize::try_from(self.height.max(legend) / LINE).unwrap_or(usize::MAX)
    }
}

/// Tenths as a decimal.
fn tenths(value: i32) -> String {
    format!("{}{}.{}", if value < 0 { "-" } else { "" }, value.abs() / 10, value.abs() % 10)
}

impl FigureView {
    /// A picture as a line shows it; `read` gives its bytes by its path.
    pub(super) fn of(
        words: Words<'_>,
        shown: &Shown,
        read: &dyn Fn(&str) -> Option<Vec<u8>>,
    ) -> Result<FigureView, EmitError> {
        let figure = &words.procedure.figures[shown.figure];
        let fault = || EmitError::Figure { path: figure.path.clone() };
        let bytes = read(&figure.path).ok_or_else(fault)?;
        let media_type = media_type(&bytes).ok_or_else(fault)?;
        let paper = OnPaper::of(figure);
        let callouts = figure.callouts.iter().map(|callout| {
            let (x, y) = balloon(callout);
            let (across, down) = (percent(callout.across), percent(callout.down));
            CalloutView { number: callout.number, across, down, x: tenths(x), y: tenths(y) }
        });
        let legend: BTreeMap<u32, String> =
            figure.callouts.iter().map(|callout| (callout.number, words.called(callout))).collect();
        Ok(FigureView {
            number: numbered(figure),
            data: data_address(media_type, &bytes),
            alt: figure.alt.clone(),
            when: shown.when.as_ref().map(|when| words.cond(when)),
            width: format!("{}.{}", paper.width / 10, paper.width % 10),
            callouts: callouts.collect(),
            legend: legend.into_iter().map(|(number, title)| Entry { number, title }).collect(),
            height: paper.height,
        })
    }
}
