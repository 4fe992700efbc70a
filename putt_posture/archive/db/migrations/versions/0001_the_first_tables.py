"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Bring the tables forward."""
    op.create_table(
        "arrivals",
        sa.Column("token", sa.String(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("token", "digest", name=op.f("pk_arrivals")),
    )
    with op.batch_alter_table("arrivals", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_arrivals_digest"), ["digest"], unique=False)

    op.create_table(
        "departures",
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_departures")),
    )
    op.create_table(
        "erasures",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("lessons", sa.Integer(), nullable=False),
        sa.Column("files", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_erasures")),
    )
    op.create_table(
        "files",
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_files")),
    )
    op.create_table(
        "settings",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_settings")),
    )
    op.create_table(
        "students",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String().with_variant(sa.String(collation="C"), "postgresql"), nullable=False),
        sa.Column("born", sa.Date(), nullable=True),
        sa.Column("adult", sa.Boolean(), nullable=False),
        sa.Column("handed", sa.String(), nullable=False),
        sa.Column("stature_cm", sa.Double(), nullable=False),
        sa.Column("sex", sa.String(), nullable=True),
        sa.Column("wrist_floor_cm", sa.Double(), nullable=True),
        sa.Column("notes", sa.String(), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("keep_until", sa.Date(), nullable=True),
        sa.CheckConstraint("adult OR born IS NOT NULL", name=op.f("ck_students_age_known")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_students")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("students", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_students_keep_until"), ["keep_until"], unique=False)
        batch_op.create_index(batch_op.f("ix_students_name_key"), ["name_key"], unique=False)
        batch_op.create_index(batch_op.f("ix_students_since"), ["since"], unique=False)

    op.create_table(
        "consents",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("student_id", sa.Integer(), nullable=False),
        sa.Column("scope", sa.String(), nullable=False),
        sa.Column("given_on", sa.Date(), nullable=False),
        sa.Column("given_by", sa.String(), nullable=False),
        sa.Column("relation", sa.String(), nullable=False),
        sa.Column("withdrawn_on", sa.Date(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["student_id"], ["students.id"], name=op.f("fk_consents_student_id_students"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_consents")),
    )
    with op.batch_alter_table("consents", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_consents_student_id"), ["student_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_consents_withdrawn_on"), ["withdrawn_on"], unique=False)

    op.create_table(
        "lessons",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("student_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("moment", sa.String(), nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("coach", sa.String(), nullable=False),
        sa.Column("notes", sa.String(), nullable=False),
        sa.Column("misses", sa.String(), nullable=False),
        sa.Column("putter_story", sa.String(), nullable=False),
        sa.Column("limits", sa.String(), nullable=False),
        sa.Column("stature_cm", sa.Double(), nullable=False),
        sa.Column("handed", sa.String(), nullable=False),
        sa.Column("sex", sa.String(), nullable=True),
        sa.Column("wrist_floor_cm", sa.Double(), nullable=True),
        sa.Column("putter_length_cm", sa.Double(), nullable=True),
        sa.Column("putter_lie_deg", sa.Double(), nullable=True),
        sa.Column("faces_hidden", sa.Boolean(), nullable=False),
        sa.Column("document", sa.String(length=64), nullable=False),
        sa.Column("versions", sa.JSON(), nullable=False),
        sa.Column("warnings", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["student_id"], ["students.id"], name=op.f("fk_lessons_student_id_students"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lessons")),
        sa.UniqueConstraint("student_id", "document", name=op.f("uq_lessons_student_id_document")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("lessons", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lessons_day"), ["day"], unique=False)
        batch_op.create_index(batch_op.f("ix_lessons_student_id_day_id"), ["student_id", "day", "id"], unique=False)

    op.create_table(
        "name_words",
        sa.Column("word", sa.String().with_variant(sa.String(collation="C"), "postgresql"), nullable=False),
        sa.Column("student_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["student_id"], ["students.id"], name=op.f("fk_name_words_student_id_students"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("word", "student_id", name=op.f("pk_name_words")),
    )
    with op.batch_alter_table("name_words", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_name_words_student_id"), ["student_id"], unique=False)

    op.create_table(
        "practice_tests",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("student_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["student_id"], ["students.id"], name=op.f("fk_practice_tests_student_id_students"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_practice_tests")),
    )
    with op.batch_alter_table("practice_tests", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_practice_tests_student_id_day_id"), ["student_id", "day", "id"], unique=False
        )

    op.create_table(
        "standings",
        sa.Column("student_id", sa.Integer(), nullable=False),
        sa.Column("lessons", sa.Integer(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("drifted", sa.Integer(), nullable=False),
        sa.Column("drifts", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["student_id"], ["students.id"], name=op.f("fk_standings_student_id_students"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("student_id", name=op.f("pk_standings")),
    )
    with op.batch_alter_table("standings", schema=None) as batch_op:
        batch_op.create_index(
            "ix_standings_drifted",
            ["last_day", "student_id"],
            unique=False,
            sqlite_where=sa.text("drifted > 0"),
            postgresql_where=sa.text("drifted > 0"),
        )
        batch_op.create_index(batch_op.f("ix_standings_last_day_student_id"), ["last_day", "student_id"], unique=False)

    op.create_table(
        "clips",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lesson_id", sa.Integer(), nullable=False),
        sa.Column("view", sa.String(), nullable=False),
        sa.Column("file", sa.String(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("scale_source", sa.String(), nullable=False),
        sa.Column("landmark_model", sa.String(), nullable=False),
        sa.Column("px_per_cm", sa.Double(), nullable=True),
        sa.Column("px_per_cm_sd", sa.Double(), nullable=True),
        sa.Column("roll_deg", sa.Double(), nullable=True),
        sa.Column("yaw_deg", sa.Double(), nullable=True),
        sa.Column("distance_cm", sa.Double(), nullable=True),
        sa.ForeignKeyConstraint(
            ["lesson_id"], ["lessons.id"], name=op.f("fk_clips_lesson_id_lessons"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clips")),
        sa.UniqueConstraint("lesson_id", "view", name=op.f("uq_clips_lesson_id_view")),
    )
    with op.batch_alter_table("clips", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_clips_sha256"), ["sha256"], unique=False)

    op.create_table(
        "fits",
        sa.Column("lesson_id", sa.Integer(), nullable=False),
        sa.Column("length_cm", sa.Double(), nullable=True),
        sa.Column("length_sd_cm", sa.Double(), nullable=True),
        sa.Column("length_absent", sa.String(), nullable=True),
        sa.Column("stock_length_in", sa.Double(), nullable=True),
        sa.Column("lie_deg", sa.Double(), nullable=True),
        sa.Column("lie_sd_deg", sa.Double(), nullable=True),
        sa.Column("lie_absent", sa.String(), nullable=True),
        sa.Column("spec", sa.JSON(none_as_null=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["lesson_id"], ["lessons.id"], name=op.f("fk_fits_lesson_id_lessons"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("lesson_id", name=op.f("pk_fits")),
    )
    op.create_table(
        "lesson_files",
        sa.Column("lesson_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("shows_student", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["digest"], ["files.digest"], name=op.f("fk_lesson_files_digest_files")),
        sa.ForeignKeyConstraint(
            ["lesson_id"], ["lessons.id"], name=op.f("fk_lesson_files_lesson_id_lessons"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("lesson_id", "name", name=op.f("pk_lesson_files")),
    )
    with op.batch_alter_table("lesson_files", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lesson_files_digest"), ["digest"], unique=False)
        batch_op.create_index(
            "ix_lesson_files_shown",
            ["lesson_id"],
            unique=False,
            sqlite_where=sa.text("shows_student = 1"),
            postgresql_where=sa.text("shows_student"),
        )

    op.create_table(
        "measures",
        sa.Column("lesson_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("standard_uncertainty", sa.Double(), nullable=True),
        sa.Column("unit", sa.String(), nullable=False),
        sa.Column("view", sa.String(), nullable=True),
        sa.Column("frames", sa.Integer(), nullable=False),
        sa.Column("method", sa.String(), nullable=False),
        sa.Column("method_version", sa.String(), nullable=False),
        sa.Column("absent", sa.String(), nullable=True),
        sa.Column("floor", sa.Double(), nullable=True),
        sa.Column("raw_value", sa.Double(), nullable=True),
        sa.Column("budget", sa.JSON(), nullable=False),
        sa.Column("repeats", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["lesson_id"], ["lessons.id"], name=op.f("fk_measures_lesson_id_lessons"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("lesson_id", "name", name=op.f("pk_measures")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "putts",
        sa.Column("test_id", sa.Integer(), nullable=False),
        sa.Column("distance_cm", sa.Double(), nullable=False),
        sa.Column("tried", sa.Integer(), nullable=False),
        sa.Column("holed", sa.Integer(), nullable=False),
        sa.CheckConstraint("holed >= 0 AND holed <= tried AND distance_cm > 0", name=op.f("ck_putts_counts")),
        sa.ForeignKeyConstraint(
            ["test_id"], ["practice_tests.id"], name=op.f("fk_putts_test_id_practice_tests"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("test_id", "distance_cm", name=op.f("pk_putts")),
    )
    op.create_table(
        "corrections",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("frame", sa.Integer(), nullable=False),
        sa.Column("landmark", sa.String(), nullable=False),
        sa.Column("u_px", sa.Double(), nullable=False),
        sa.Column("v_px", sa.Double(), nullable=False),
        sa.Column("made_by", sa.String(), nullable=False),
        sa.Column("made_on", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["clip_id"], ["clips.id"], name=op.f("fk_corrections_clip_id_clips"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_corrections")),
    )
    with op.batch_alter_table("corrections", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_corrections_clip_id"), ["clip_id"], unique=False)

    op.create_table(
        "landmarks",
        sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("frame", sa.Integer(), nullable=False),
        sa.Column("setup", sa.Integer(), nullable=False),
        sa.Column("time_s", sa.Double(), nullable=False),
        sa.Column("points", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name=op.f("fk_landmarks_clip_id_clips"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("clip_id", "frame", name=op.f("pk_landmarks")),
    )
    op.create_table(
        "setups",
        sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("moment_s", sa.Double(), nullable=False),
        sa.Column("starts_s", sa.Double(), nullable=False),
        sa.Column("ends_s", sa.Double(), nullable=False),
        sa.Column("chosen_by", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name=op.f("fk_setups_clip_id_clips"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("clip_id", "number", name=op.f("pk_setups")),
    )
