"""The blocks that say how it was done."""

from __future__ import annotations

from halfpoint.estimate.findings import Findings, MarkFindings
from halfpoint.publish.report.blocks import Block, bullets, formula, heading, paragraph, references

REFERENCES = (
    (
        "Bates, D., Mächler, M., Bolker, B. & Walker, S. (2015). Fitting linear mixed-effects "
        "models using lme4. Journal of Statistical Software 67(1)."
    ),
    (
        "Hothorn, T., Bretz, F. & Westfall, P. (2008). Simultaneous inference in general "
        "parametric models. Biometrical Journal 50, 346–363."
    ),
    (
        "Kuznetsova, A., Brockhoff, P. B. & Christensen, R. H. B. (2017). Journal of Statistical "
        "Software 82(13)."
    ),
    (
        "Patterson, H. D. & Thompson, R. (1971). Recovery of inter-block information when block "
        "sizes are unequal. Biometrika 58, 545–554."
    ),
    (
        "Piepho, H.-P. (2004). An algorithm for a letter-based representation of all-pairwise "
        "comparisons. Journal of Computational and Graphical Statistics 13, 456–466."
    ),
    (
        "Satterthwaite, F. E. (1946). An approximate distribution of estimates of variance "
        "components. Biometrics Bulletin 2, 110–114."
    ),
)
SECOND_LOOK_REFERENCE = (
    "Clopper, C. J. & Pearson, E. S. (1934). The use of confidence or fiducial limits "
    "illustrated in the case of the binomial. Biometrika 26, 404–413."
)
_TERMS = {
    'taster': "a what the taster adds or takes: severity",
    'site': "r what the room adds or takes",
    'bottle': "c what that room's bottle of the wine adds or takes",
    'taster:wine': "d the taster's own liking of the wine",
}
_PLAIN_TERMS = {
    'taster': "the taster",
    'site': "the room",
    'bottle': "the room's bottle",
    'taster:wine': "the taster's own liking of the wine",
}


def method(findings: Findings) -> list[Block]:
    """The model in plain words and as a formula, the methods, the works they come from."""
    marks = next(
        (part.result for part in findings.parts if part.result is not None), findings.total
    )
    random_wines = findings.form == 'random'
    works = (*REFERENCES, *([SECOND_LOOK_REFERENCE] if findings.audit else []))
    return [
        heading("How it was done"),
        paragraph(_model_in_words(findings, marks)),
        formula(findings.effects, random_wines, bool(marks.covariates)),
        paragraph(_terms_in_words(findings, marks, random_wines), soft=True),
        bullets(_steps(random_wines)),
        heading("Works referred to", 2),
        references(sorted(works)),
    ]


def formula_in_words(findings: Findings) -> str:
    """The formula as it would be read aloud."""
    added = [_PLAIN_TERMS.get(effect, effect) for effect in findings.effects]
    return "mark equals " + ' plus '.join(["the wine's score", *added, "what is left"])


def _model_in_words(findings: Findings, marks: MarkFindings) -> str:
    added = [_PLAIN_TERMS.get(effect, effect) for effect in findings.effects]
    named = {covariate.covariate for covariate in marks.covariates}
    if named:
        added.append("the place in the order" if named == {'position'} else "what else is known")
    listed = ' and '.join([', '.join(added[:-1]), added[-1]]) if len(added) > 1 else ''.join(added)
    verb = "add or take" if len(added) > 1 else "adds or takes"
    begun = "Every mark is taken as the wine's score"
    if not added:
        return f"{begun} plus what is left to chance."
    return (
        f"{begun}, plus what {listed} {verb}, plus what is left to chance. "
        "All of it is weighed at once, so that a wine poured to severe tasters, or from one poor "
        "bottle, is not judged by that, as it would be in a plain average."
    )


def _terms_in_words(findings: Findings, marks: MarkFindings, random_wines: bool) -> str:
    first = "μ the average of all wines, w the wine" if random_wines else "β the wine's score"
    terms = ["y one mark", first]
    terms += ["γx the place in the order, or what else is known"] if marks.covariates else []
    terms += [_TERMS[effect] for effect in findings.effects if effect in _TERMS]
    return '; '.join([*terms, "e what is left"]) + "."


def _steps(random_wines: bool) -> list[str]:
    wines = (
        "Wines are taken as drawn from a range of wines, so scores lean a little to the middle."
        if random_wines
        else "Each wine has a score of its own; none leans on the others."
    )
    return [
        wines,
        (
            "How much tasters, rooms and bottles differ is found by residual maximum likelihood "
            "(Patterson & Thompson 1971; Bates et al. 2015); intervals of those figures come from "
            "the likelihood's profile."
        ),
        (
            "Intervals and tests use Student's t with Satterthwaite's degrees of freedom "
            "(Satterthwaite 1946; Kuznetsova et al. 2017)."
        ),
        (
            "Wine against wine, all pairs are asked at once by the largest of their t values "
            "(Hothorn et al. 2008). Letters follow from these (Piepho 2004)."
        ),
        "Chances of places come from many draws of all scores together, with the seed below.",
    ]
