//! A bounded dual simplex over a dense table.
//!
//! It computes in floating point and decides nothing: what it finds are multipliers of the limits
//! and a point to round, and whoever uses them proves in whole numbers what they are good for.
#![expect(clippy::indexing_slicing, reason = "rows and columns of one table, made with it")]

use crate::domain::statistics::real;

/// What a variable may be between.
type Bounds = (f64, f64);

const TINY: f64 = 1e-9;
const INFEASIBLE: f64 = 1e-7;

/// How a run of the simplex ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    /// The relaxed problem is solved, or stopped where its bound was good enough.
    Solved,
    /// The row at this place can't be made to hold.
    Infeasible(usize),
}

/// Variables are numbered: the choices first, then one slack for each row.
pub(super) struct Tableau {
    columns: usize,
    /// Row by row: what each variable outside the basis takes, then the constant.
    table: Vec<f64>,
    /// What the objective gains by each variable outside the basis, then its constant.
    gains: Vec<f64>,
    /// The variable that each row computes.
    basis: Vec<usize>,
    /// The variable of each column.
    outside: Vec<usize>,
    /// The value of each column's variable.
    at: Vec<f64>,
    /// The value of each row's variable.
    values: Vec<f64>,
    bounds: Vec<Bounds>,
    /// Entries touched so far: a measure of time that is the same on every machine.
    pub(super) work: u64,
}

impl Tableau {
    /// Returns the table of `rows` of (what each choice takes, the most), for the most of `worth`.
    pub(super) fn new(rows: &[(Vec<(usize, i64)>, i64)], worth: &[i64]) -> Self {
        let columns = worth.len();
        let width = columns + 1;
        let mut table = vec![0.0; rows.len() * width];
        let mut bounds = vec![(0.0, 1.0); columns];
        for ((takes, most), row) in rows.iter().zip(table.chunks_exact_mut(width)) {
            for (column, amount) in takes {
                row[*column] = real(*amount);
            }
            row[columns] = real(*most);
            let least: i64 = takes.iter().map(|it| it.1.min(0)).sum();
            bounds.push((0.0, real((most - least).max(0))));
        }
        // A small and ever different bonus breaks ties, over which a simplex would walk in circles.
        let largest = worth.iter().copied().max().unwrap_or_default().max(1);
        let mut gains: Vec<f64> = (1..)
            .zip(worth)
            .map(|(at, it)| real(*it) + 1e-7 * real(largest) * real(at * 7919 % 1013) / 1013.0)
            .collect();
        gains.push(0.0);
        Self {
            columns,
            table,
            gains,
            basis: (columns..columns + rows.len()).collect(),
            outside: (0..columns).collect(),
            at: vec![0.0; columns],
            values: vec![0.0; rows.len()],
            bounds,
            work: 0,
        }
    }

    /// Fixes a choice, or frees it.
    pub(super) fn set(&mut self, choice: usize, fixed: Option<bool>) {
        self.bounds[choice] = match fixed {
            None => (0.0, 1.0),
            Some(false) => (0.0, 0.0),
            Some(true) => (1.0, 1.0),
        };
    }

    /// Solves the relaxed problem from where the last one ended; stops as soon as its bound falls
    /// below `enough`.
    pub(super) fn solve(&mut self, enough: f64) -> End {
        self.place();
        for _ in 0..20 * (self.columns + self.basis.len()) {
            self.work += 8 * size(self.columns + self.basis.len());
            let Some((row, lack)) = self.worst() else { return End::Solved };
            let Some(column) = self.enter(row, lack) else { return End::Infeasible(row) };
            self.pivot(row, column);
            if self.bound() < enough {
                return End::Solved;
            }
        }
        End::Solved
    }

    /// Puts each variable outside the basis at the end of its range that its gain asks for, and
    /// computes the others.
    fn place(&mut self) {
        for column in 0..self.columns {
            let (low, high) = self.bounds[self.outside[column]];
            self.at[column] = if 0.0 < self.gains[column] { high } else { low };
        }
        let width = self.columns + 1;
        for (row, value) in self.table.chunks_exact(width).zip(&mut self.values) {
            let taken: f64 = row.iter().zip(&self.at).map(|it| it.0 * it.1).sum();
            *value = row[self.columns] - taken;
        }
        self.work += size(self.table.len());
    }

    fn bound(&self) -> f64 {
        let gained: f64 = self.gains.iter().zip(&self.at).map(|it| it.0 * it.1).sum();
        self.gains[self.columns] + gained
    }

    /// Returns the row that is furthest outside its range, and by how much; above zero where it
    /// must grow.
    fn worst(&self) -> Option<(usize, f64)> {
        let mut worst = None;
        let mut most = INFEASIBLE;
        for (row, value) in self.values.iter().enumerate() {
            let (low, high) = self.bounds[self.basis[row]];
            let lack = if *value < low { low - value } else { high.min(*value) - value };
            if most < lack.abs() {
                (worst, most) = (Some((row, lack)), lack.abs());
            }
        }
        worst
    }

    /// Returns the column that enters for a row; those that bring less than it lacks move to the
    /// other end of their range.
    fn enter(&mut self, row: usize, lack: f64) -> Option<usize> {
        let width = self.columns + 1;
        let line = &self.table[row * width..row * width + self.columns];
        let mut candidates: Vec<(f64, usize)> = Vec::new();
        for (column, entry) in line.iter().enumerate() {
            let (low, high) = self.bounds[self.outside[column]];
            let rises = if self.at[column] == low { -entry } else { *entry };
            if low < high && TINY < rises * lack.signum() {
                candidates.push((self.gains[column].abs() / entry.abs(), column));
            }
        }
        candidates.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut left = lack.abs();
        let mut moved = Vec::new();
        let mut entering = None;
        for (_, column) in candidates {
            let (low, high) = self.bounds[self.outside[column]];
            let brings = line[column].abs() * (high - low);
            if left <= brings {
                entering = Some(column);
                break;
            }
            left -= brings;
            moved.push(column);
        }
        self.work += size(self.columns);
        entering?;
        for column in moved {
            let (low, high) = self.bounds[self.outside[column]];
            let to = if self.at[column] == low { high } else { low };
            let by = to - self.at[column];
            self.at[column] = to;
            for (row, value) in self.table.chunks_exact(width).zip(&mut self.values) {
                *value -= row[column] * by;
            }
            self.work += size(self.values.len());
        }
        entering
    }

    fn pivot(&mut self, row: usize, column: usize) {
        let width = self.columns + 1;
        let leaving = self.basis[row];
        let (low, high) = self.bounds[leaving];
        let to = if self.values[row] < low { low } else { high };
        let entry = self.table[row * width + column];
        let by = (self.values[row] - to) / entry;
        let entered = self.at[column] + by;
        let mut line: Vec<f64> = self.table[row * width..(row + 1) * width].to_vec();
        line.iter_mut().for_each(|it| *it /= entry);
        line[column] = 1.0 / entry;
        let lines = self.table.chunks_exact_mut(width).zip(&mut self.values);
        for (at, (other, value)) in lines.enumerate() {
            let factor = other[column];
            if at == row || factor == 0.0 {
                continue;
            }
            *value -= factor * by;
            other[column] = 0.0;
            for (mine, its) in other.iter_mut().zip(&line) {
                *mine -= factor * its;
            }
            self.work += size(width);
        }
        let factor = self.gains[column];
        let constant = self.gains[self.columns] + factor * line[self.columns];
        self.gains[column] = 0.0;
        for (mine, its) in self.gains.iter_mut().zip(&line) {
            *mine -= factor * its;
        }
        self.gains[self.columns] = constant;
        self.values[row] = entered;
        self.table[row * width..(row + 1) * width].copy_from_slice(&line);
        self.basis[row] = self.outside[column];
        self.outside[column] = leaving;
        self.at[column] = to;
    }

    /// Returns the value of each choice in the relaxed problem, between 0 and 1.
    pub(super) fn point(&self) -> Vec<f64> {
        let mut point = vec![0.0; self.columns];
        for (variable, value) in
            self.outside.iter().zip(&self.at).chain(self.basis.iter().zip(&self.values))
        {
            if let Some(it) = point.get_mut(*variable) {
                *it = value.clamp(0.0, 1.0);
            }
        }
        point
    }

    /// Returns what the bound would gain by one more of each row's limit.
    pub(super) fn multipliers(&self) -> Vec<f64> {
        self.of_slacks(|column| -self.gains[column])
    }

    /// Returns multipliers of the rows under which the row at this place can't hold.
    pub(super) fn ray(&self, row: usize) -> Vec<f64> {
        let width = self.columns + 1;
        let (low, _) = self.bounds[self.basis[row]];
        let sign = if self.values[row] < low { 1.0 } else { -1.0 };
        let mut ray = self.of_slacks(|column| sign * self.table[row * width + column]);
        if let Some(it) = self.basis[row].checked_sub(self.columns).and_then(|it| ray.get_mut(it)) {
            *it = sign.max(0.0);
        }
        ray
    }

    fn of_slacks(&self, of: impl Fn(usize) -> f64) -> Vec<f64> {
        let mut found = vec![0.0; self.basis.len()];
        for (column, variable) in self.outside.iter().enumerate() {
            if let Some(slack) = variable.checked_sub(self.columns) {
                found[slack] = of(column).max(0.0);
            }
        }
        found
    }
}

/// Returns a count of entries as work.
pub(super) fn size(entries: usize) -> u64 {
    u64::try_from(entries).unwrap_or(u64::MAX)
}
