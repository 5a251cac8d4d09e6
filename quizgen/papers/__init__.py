"""Competence papers: a plan proved, a paper drawn for each candidate, the page to sit, the mark.

Pure: nothing here writes a file or knows where records lie. A bank's plan and a source of chance give
issues (`issue`), an issue gives the candidate's page (`page`) and the key to mark by hand (`key`), an issue
and a sheet give a mark (`mark`). Keeping them is the work of `records`.
"""
