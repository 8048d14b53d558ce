use serde::Serialize;
use serde_json::Value;
use thiserror::Error;

use super::numbers::shortest;

/// A row did not serialise to named columns; a fault of the program, never of its input.
#[derive(Debug, Error)]
pub enum TableError {
    /// From serde.
    #[error("a row could not be turned into columns: {0}")]
    Row(#[from] serde_json::Error),
    /// From the CSV writer.
    #[error("a row could not be written: {0}")]
    Csv(#[from] csv::Error),
    /// From its buffer.
    #[error("a table could not be finished: {0}")]
    Flush(String),
}

/// A CSV table with a header, `\n` line ends, numbers in their shortest exact form, absent values
/// as empty cells. A table without rows still has its header.
///
/// # Errors
/// [`TableError`] where a row is not a struct with named fields.
pub fn csv_table<Row: Serialize + Default>(rows: &[Row]) -> Result<String, TableError> {
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    let columns = |row: &Row| -> Result<Vec<(String, Value)>, TableError> {
        Ok(match serde_json::to_value(row)? {
            Value::Object(map) => map.into_iter().collect(),
            _ => Vec::new(),
        })
    };
    writer.write_record(columns(&Row::default())?.iter().map(|c| c.0.as_str()))?;
    for row in rows {
        writer.write_record(columns(row)?.iter().map(|c| cell(&c.1)))?;
    }
    let bytes = writer.into_inner().map_err(|e| TableError::Flush(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| TableError::Flush(e.to_string()))
}

fn cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        Value::Number(number) if number.is_f64() => number.as_f64().map(shortest).unwrap_or_default(),
        other => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::paper::numbers::Number;

    #[derive(Default, Serialize)]
    struct Row {
        name: String,
        fs: Number,
        trend_deg: Option<Number>,
        count: usize,
    }

    #[test]
    fn absent_is_empty_and_infinite_is_inf() {
        let rows = [
            Row { name: "a, b".into(), fs: Number(f64::INFINITY), trend_deg: None, count: 3 },
            Row { name: "c".into(), fs: Number(2.0), trend_deg: Some(Number(0.1)), count: 0 },
        ];
        let text = csv_table(&rows).unwrap();
        assert_eq!(text, "name,fs,trend_deg,count\n\"a, b\",inf,,3\nc,2,0.1,0\n");
    }

    #[test]
    fn an_empty_table_keeps_its_header() {
        assert_eq!(csv_table::<Row>(&[]).unwrap(), "name,fs,trend_deg,count\n");
    }
}
