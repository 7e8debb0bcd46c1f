"""What can go wrong for a user. Every class is a sentence and a next step; none is a traceback."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ingest.doubts.problems import Problem


class TautleafError(Exception):
    """Something the user can mend: the message says what is wrong and what to do next."""

    code = "failed"

    def __init__(self, message: str, problems: Sequence[Problem] = ()) -> None:
        super().__init__(message)
        self.problems = list(problems)


class HomeNotFound(TautleafError):
    """The folder is no home of a program."""

    code = "home_not_found"


class HomeExists(TautleafError):
    """A new home was asked for where there is one already."""

    code = "home_exists"


class SettingsInvalid(TautleafError):
    """tautleaf.toml cannot be used as it stands."""

    code = "settings_invalid"


class RegisterInvalid(TautleafError):
    """A register holds rows that cannot be used; `problems` names each."""

    code = "register_invalid"


class FileUnreadable(TautleafError):
    """The file is empty, damaged, locked or of a kind that is not read."""

    code = "file_unreadable"


class FileBeyondLimits(FileUnreadable):
    """The file takes more memory or time than a class's file can need."""

    code = "file_beyond_limits"


class RecipeInvalid(TautleafError):
    """A recipe cannot be used as it stands."""

    code = "recipe_invalid"


class UploadUnknown(TautleafError):
    """No upload of that name is in the ledger."""

    code = "upload_unknown"


class ReplacementUnclear(TautleafError):
    """The file covers what an earlier upload covers, and the user has not said what becomes of that one."""

    code = "replacement_unclear"


class ReceivedDamaged(TautleafError):
    """An original or the ledger is not what was received."""

    code = "received_damaged"


class BuildFailed(TautleafError):
    """The models could not be built or a test of them failed; what was published stays."""

    code = "build_failed"


class NothingPublished(TautleafError):
    """There is no published build for this role yet."""

    code = "nothing_published"


class PublishedDamaged(TautleafError):
    """A published file is missing or not the one that was published."""

    code = "published_damaged"


class PlanUnclear(TautleafError):
    """A field day was to be planned with numbers that make no plan."""

    code = "plan_unclear"


class ExportRefused(TautleafError):
    """The folder of an export holds something else, or cannot be written."""

    code = "export_refused"


class PackageUnusable(TautleafError):
    """A data package cannot be imported: it is none, another role's, or not what was written."""

    code = "package_unusable"


class ReportRefused(TautleafError):
    """A report cannot be made of this semester or role, or cannot be written where it was wanted."""

    code = "report_refused"


class PrintingFailed(TautleafError):
    """No PDF could be made; the page can still be printed."""

    code = "printing_failed"


class PublishedOutdated(TautleafError):
    """A published file was made by another version, and lacks what this one asks for."""

    code = "published_outdated"


class PortTaken(TautleafError):
    """The dashboard's port is in use."""

    code = "port_taken"


class PredictionRefused(TautleafError):
    """An answer to the question of *Predict first* cannot be counted."""

    code = "prediction_refused"


class QuestionClosed(PredictionRefused):
    """No question is open under this code: it is another, has run out, or was closed."""

    code = "question_closed"


class PredictionsNotKept(TautleafError):
    """The counts of a class's predictions cannot be written to the home."""

    code = "predictions_not_kept"


class RoomUnreachable(TautleafError):
    """The page for a room's phones cannot be opened at this address."""

    code = "room_unreachable"


class FigureUnknown(TautleafError):
    """A figure was asked for that there is not, or in a form that there is not."""

    code = "figure_unknown"


class QuestionRefused(TautleafError):
    """A reader's own question to the tables cannot be answered."""

    code = "question_refused"


class HomeBusy(TautleafError):
    """Another command is changing this home."""

    code = "home_busy"


class ReceivingFailed(TautleafError):
    """A file that was dropped on the dashboard could not be taken in; nothing of it was stored."""

    code = "receiving_failed"
