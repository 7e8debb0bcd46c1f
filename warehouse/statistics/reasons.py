"""Why an estimate is null, as a code for machines and a sentence for people. A result carries both or neither."""

from __future__ import annotations

from collections.abc import Mapping

REASONS: Mapping[str, str] = {
    "not_computable": "The numbers do not admit this estimate.",
    "not_finite": "The estimate has no finite value.",
}


def reason(code: str, **numbers: object) -> dict[str, str]:
    """The two fields of a result that say why it is null: `reason_code`, and `reason` with its numbers put in.

    Raises:
        KeyError: no such code, or a number that its sentence names is missing.
    """
    return {"reason_code": code, "reason": REASONS[code].format(**numbers)}
