"""What the database itself refuses to change: certificates and what happened to them."""

from __future__ import annotations

from academy.audit import triggers


def install() -> None:
    # Nobody issues a certificate to themselves, or decides anything about their own.
    triggers.protect(
        "awards_certificate",
        label="a certificate",
        insert_when="NEW.issued_by_id = NEW.holder_id",
        update_when=triggers.ALWAYS,
    )
    triggers.protect("awards_certificatesignoff", label="the evidence of a certificate")
    triggers.protect(
        "awards_certificateevent",
        label="an event of a certificate",
        insert_when=(
            "EXISTS (SELECT 1 FROM awards_certificate c "
            "WHERE c.id = NEW.certificate_id AND c.holder_id = NEW.by_id)"
        ),
        update_when=triggers.ALWAYS,
    )
    triggers.protect("awards_certificatefile", label="an issued PDF")
