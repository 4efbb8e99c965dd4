"""Forms of certificates."""

from __future__ import annotations

from django import forms

from academy.web.forms import BlockworkForm


class WithdrawForm(BlockworkForm):
    """Why a certificate is withdrawn, and that this is meant."""

    deed = "can be withdrawn"
    reason = forms.CharField(
        max_length=1000,
        label="Why",
        help_text="Stays inside the academy. The public page says only that it was withdrawn.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    sure = forms.BooleanField(label="I know that this cannot be taken back")
