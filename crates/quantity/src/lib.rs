//! Values with unit and tolerance: from text, through arithmetic, to text.
