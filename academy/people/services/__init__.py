"""Everything that changes people, cohorts and invitations: one transaction and one entry each."""

from __future__ import annotations

from academy.people.services.academies import set_up_academy as set_up_academy
from academy.people.services.accepting import accept_invitation as accept_invitation
from academy.people.services.closed_days import (
    close_day as close_day,
    open_day as open_day,
)
from academy.people.services.cohorts import (
    change_cohort as change_cohort,
    end_cohort as end_cohort,
    make_cohort as make_cohort,
    move_to_cohort as move_to_cohort,
    place_in_cohort as place_in_cohort,
)
from academy.people.services.invitations import (
    invite as invite,
    resend as resend,
    revoke as revoke,
)
from academy.people.services.many import (
    BadLinesError as BadLinesError,
    Reading as Reading,
    invite_many as invite_many,
    read_invitations as read_invitations,
)
from academy.people.services.memberships import (
    end_membership as end_membership,
    give_role as give_role,
)
from academy.people.services.personal import (
    change_name as change_name,
    give_consent as give_consent,
    remove_guardian as remove_guardian,
    set_guardian as set_guardian,
    withdraw_consent as withdraw_consent,
)
