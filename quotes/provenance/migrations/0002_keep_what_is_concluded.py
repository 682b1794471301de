"""Installs the triggers that keep concluded checks, and who was seen, as they are."""

from django.db import migrations

from inventory.triggers import Guard, install, remove

CHECK = "provenance_provenancecheck"
IDENTITY = "provenance_selleridentity"
MESSAGE = "A concluded provenance check stays as it is; begin a new one."
CONCLUDED = f"(SELECT state FROM {CHECK} WHERE id = NEW.provenance_id) <> 'open'"
GUARDS = (
    Guard(CHECK, "update", MESSAGE, "OLD.state <> 'open'"),
    Guard(CHECK, "delete", MESSAGE),
    Guard(IDENTITY, "insert", MESSAGE, CONCLUDED),
    Guard(IDENTITY, "update", MESSAGE, CONCLUDED),
)


class Migration(migrations.Migration):
    """Triggers of the vendor's database."""

    dependencies = [("provenance", "0001_initial")]

    operations = [migrations.RunPython(install(*GUARDS), remove(*GUARDS))]
