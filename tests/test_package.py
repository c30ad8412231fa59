import pytest

import captriage


def test_the_package_has_what_it_names_and_says_what_it_has_not():
    assert all(hasattr(captriage, name) for name in captriage.__all__)
    with pytest.raises(AttributeError, match="module 'captriage' has no attribute 'judgement'"):
        _ = captriage.judgement
