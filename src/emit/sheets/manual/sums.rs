//! A limit with blanks, to be worked out on paper: `38 kg + ____ kg = ____ kg ≤ ____ kg`.

use serde::Serialize;

use crate::emit::words::{Words, extreme, own_unit, plain_number};
use crate::labels::{Piece as Text, pieces, spoken};
use crate::model::{ArithmeticOp, Comparison, Expr, NumberId};
use crate::quantity::Quantity;

/// Text, or a line to write a number on.
#[derive(Serialize)]
pub(super) struct Piece {
    text: String,
    /// What is to be written, for those who hear the page; `None` for text.
    blank: Option<String>,
}

/// Both sides of a limit with a blank for each number that is written down, and one for what a side comes to.
pub(super) fn sum(words: Words<'_>, holds: &Comparison) -> Vec<Piece> {
    let mut sum = Sum { words, pieces: Vec::new() };
    sum.side(&holds.left);
    sum.text(format!(" {} ", Words::sign(holds.op, true)));
    sum.side(&holds.right);
    sum.pieces
}

struct Sum<'a> {
    words: Words<'a>,
    pieces: Vec<Piece>,
}

impl Sum<'_> {
    fn text(&mut self, text: impl Into<String>) {
        self.pieces.push(Piece { text: text.into(), blank: None });
    }

    fn blank(&mut self, what: &str, unit: &str) {
        self.pieces.push(Piece { text: unit.to_owned(), blank: Some(what.to_owned()) });
    }

    fn side(&mut self, expr: &Expr) {
        self.expr(expr, 0);
        if matches!(expr, Expr::Binary(..) | Expr::Extreme(..)) {
            self.text(" = ");
            self.blank(spoken().front.comes_to, self.unit(expr).unwrap_or_default());
        }
    }

    fn expr(&mut self, expr: &Expr, binds: u8) {
        match expr {
            Expr::Number(id, _) => {
                let number = &self.words.procedure.numbers[*id];
                self.blank(&number.name.title, number.low.unit.symbol());
            }
            Expr::Fact(id, base, _) => {
                let stated = self.words.procedure.facts[*id].value.stated();
                let worse = Quantity::from_base(*base, stated.unit, stated.written).unwrap_or(*stated);
                self.text(own_unit(&worse));
            }
            Expr::Amount(_, Some(quantity), _) => self.text(own_unit(quantity)),
            Expr::Amount(value, None, _) => self.text(plain_number(*value)),
            Expr::Extreme(which, of) => {
                for piece in pieces(extreme(*which)) {
                    match piece {
                        Text::Text(text) => self.text(text),
                        Text::Place(_) => self.all(of),
                    }
                }
            }
            Expr::Binary(op, left, right) => self.binary(*op, (left, right), binds),
        }
    }

    fn all(&mut self, of: &[Expr]) {
        for (at, one) in of.iter().enumerate() {
            if at > 0 {
                self.text("; ");
            }
            self.expr(one, 0);
        }
    }

    /// Parentheses only where they are needed: a − (b + c).
    fn binary(&mut self, op: ArithmeticOp, (left, right): (&Expr, &Expr), binds: u8) {
        let (sign, own, right_binds) = match op {
            ArithmeticOp::Add => (" + ", 1, 1),
            ArithmeticOp::Subtract => (" − ", 1, 2),
            ArithmeticOp::Multiply => (" × ", 2, 2),
            ArithmeticOp::Divide => (" ÷ ", 2, 3),
        };
        if own < binds {
            self.text("(");
        }
        self.expr(left, own);
        self.text(sign);
        self.expr(right, right_binds);
        if own < binds {
            self.text(")");
        }
    }

    /// The unit of what only adds up, as its first written number has it.
    fn unit(&self, expr: &Expr) -> Option<&'static str> {
        let number = |id: NumberId| self.words.procedure.numbers[id].low.unit.symbol();
        match expr {
            Expr::Number(id, _) => Some(number(*id)),
            Expr::Binary(ArithmeticOp::Add | ArithmeticOp::Subtract, left, right) => {
                self.unit(left).or_else(|| self.unit(right))
            }
            Expr::Extreme(_, of) => of.iter().find_map(|one| self.unit(one)),
            _ => None,
        }
    }
}
