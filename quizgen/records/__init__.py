"""The one place where records lie: issued papers, returned sheets, marks, refusals, and the register.

What papers need of it is the protocol `records.store.Store`: a few operations, each a whole transaction
that is kept completely or not at all, and queries. Whoever opens the store is its only writer until it is
closed. Nothing else in the package knows files or tables of the records.

    issue(issues)                    all of them, or none; a number that exists is refused
    return_and_mark(sheet, raw, mark)  a paper is returned once; sheet and mark together
    void(void)                       a question taken out, with the new marks of every paper it touches
    refuse(refusal)                  an offer that was not taken, kept for the log
    batch(numbers)                   one transaction around several of these; one that raises takes itself back
    issue_of, standing, papers, voids, refusals    looking

`records.signed.SignedStore` is that store: every operation is one transaction of the register's signed chain
(`records.ledger`). Beside the papers the register takes what was seen, who was appointed, suspended, renewed
(`records.add`), and says from the policy who stands where (`records.standing`, `report`, `pages`, `verify`).
"""
