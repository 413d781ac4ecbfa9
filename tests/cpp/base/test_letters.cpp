#include <catch2/catch.hpp>

#include "ridethrough/base/letters.hpp"

using ridethrough::base::plain_letters;

// Decompositions after the charts of the Unicode standard; tests/python/test_refusal.py goes through all of them.
TEST_CASE("letters lose their marks, their case and their dress") {
    CHECK(plain_letters("Oxygen 2-A") == "oxygen 2-a");
    CHECK(plain_letters("ox\u00edg\u00c9no") == "oxigeno");
    CHECK(plain_letters("oxi\u0301ge\u0323no") == "oxigeno");                      // marks that combine
    CHECK(plain_letters("venti\u1e37ator \u1ecd\u01ce") == "ventilator oa");       // put together with theirs
    CHECK(plain_letters("\uff36\uff45\u24dd\u24c9\U0001d422\u217c") == "ventil");  // wide, circled, bold, Roman
    CHECK(plain_letters("\U0001d433\U0001d434\U0001d6a3\U0001f149") == "zazz");    // ends of alphabets
    CHECK(plain_letters("a\u00a0b\u2003c") == "a b c");                            // spaces that are no space
    CHECK(plain_letters("\u00df\u00e6\u0131\u4e2d\U0001f600\u200b") == "");        // letters of their own, and none
}

TEST_CASE("bytes that are no UTF-8 do no harm") {
    CHECK(plain_letters("") == "");
    CHECK(plain_letters("ab\xe1") == "ab");  // cut off within a letter
    CHECK(plain_letters("ab\xf0\x9d") == "ab");
    CHECK(plain_letters("\xff\xfe\x80zz").ends_with("z"));
}
