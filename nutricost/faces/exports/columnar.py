"""The comparison as Parquet, for notebooks."""

from __future__ import annotations

import io
import json

from nutricost.api.comparing import Comparison
from nutricost.api.tables import comparison_rows


def comparison_parquet(comparison: Comparison) -> bytes:
    """One row an offer; numbers are doubles, unknown ones null; statements and warnings in the metadata."""
    import pyarrow as pa
    import pyarrow.parquet as parquet

    table = comparison_rows(comparison)
    arrays, fields = [], []
    for place, column in enumerate(table.columns):
        cells = [row[place] for row in table.rows]
        if column.part == "text":
            arrays.append(pa.array(cells, pa.string()))
        else:
            arrays.append(pa.array([None if cell is None else float(cell) for cell in cells], pa.float64()))
        fields.append(pa.field(column.header, arrays[-1].type))
    said = {
        "basis": comparison.basis,
        "currency": comparison.currency,
        "statements": [statement.text for statement in comparison.statements],
        "warnings": list(comparison.warnings),
    }
    schema = pa.schema(fields, metadata={"nutricost": json.dumps(said, ensure_ascii=False)})
    out = io.BytesIO()
    parquet.write_table(pa.Table.from_arrays(arrays, schema=schema), out)
    return out.getvalue()
