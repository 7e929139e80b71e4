//! The workbook.
