#include "ridethrough/base/letters.hpp"

#include <cstdint>

namespace ridethrough::base {

namespace {

// Runs of code points from the first on, each as a letter; _: none, or one of its own. After the compatibility
// decompositions (NFKD) of Unicode 14, of one letter each.
constexpr struct {
    std::uint32_t first;
    std::string_view letters;
} kRuns[] = {
    {0x00AA, "a"},
    {0x00BA, "o"},
    {0x00C0,
     "aaaaaa_ceeeeiiii_nooooo__uuuuy__aaaaaa_ceeeeiiii_nooooo__uuuuy_y"
     "aaaaaaccccccccdd__eeeeeeeeeegggggggghh__iiiiiiiii___jjkk_lllllll"
     "l__nnnnnnn__oooooo__rrrrrrsssssssstttt__uuuuuuuuuuuuwwyyyzzzzzzs"
     "________________________________oo_____________uu_______________"
     "_____________aaiioouuuuuuuuuu_aaaa____ggkkoooo__j___gg__nnaa____"
     "aaaaeeeeiiiioooorrrruuuusstt__hh______aaeeooooooooyy"},
    {0x02B0, "h_jr___wy"},
    {0x02E1, "lsx"},
    {0x1D2C, "a_b_de_ghijklmn_o_prtuwa___bde___g_km_o___ptu__v"},
    {0x1D62, "iruv"},
    {0x1D9C, "c___f"},
    {0x1DBB, "z"},
    {0x1E00,
     "aabbbbbbccddddddddddeeeeeeeeeeffgghhhhhhhhhhiiiikkkkkkllllllllmm"
     "mmmmnnnnnnnnoooooooopppprrrrrrrrssssssssssttttttttuuuuuuuuuuvvvv"
     "wwwwwwwwwwxxxxyyzzzzzzhtwyas____aaaaaaaaaaaaaaaaaaaaaaaaeeeeeeee"
     "eeeeeeeeiiiioooooooooooooooooooooooouuuuuuuuuuuuuuyyyyyyyy"},
    {0x2071, "i"},
    {0x207F, "n"},
    {0x2090, "aeox_hklmnpst"},
    {0x2102, "cc"},
    {0x2109, "fghhhh_iill_n___pqrrr"},
    {0x2124, "z___z_kabc_eef_mo"},
    {0x2139, "i"},
    {0x2145, "ddeij"},
    {0x2160, "i___v"},
    {0x2169, "x__lcdmi___v"},
    {0x2179, "x__lcdm"},
    {0x2C7C, "jv"},
    {0xA7F2, "cfq"},
    {0x107A5, "q"},
    {0x1F12A, "scr"},
};

// Whole alphabets, one after the other: circled, of full width, outlined (Unicode 16), mathematical, squared.
constexpr struct {
    std::uint32_t first, last;
} kAlphabets[] = {{0x24B6, 0x24E9},   {0xFF21, 0xFF3A},   {0xFF41, 0xFF5A},
                  {0x1CCD6, 0x1CCEF}, {0x1D400, 0x1D6A3}, {0x1F130, 0x1F149}};

constexpr bool is_space(std::uint32_t c) {
    return c == 0xA0 || (c >= 0x2000 && c <= 0x200A) || c == 0x202F || c == 0x205F || c == 0x3000;
}

// '_' where it is none.
char letter_of(std::uint32_t c) {
    for (const auto& alphabet : kAlphabets)
        if (c >= alphabet.first && c <= alphabet.last) return static_cast<char>('a' + (c - alphabet.first) % 26);
    for (const auto& run : kRuns)
        if (c >= run.first && c - run.first < run.letters.size()) return run.letters[c - run.first];
    return is_space(c) ? ' ' : '_';
}

// Takes the next code point off the front; no letter where the bytes break off within one.
std::uint32_t next_code_point(std::string_view& utf8) {
    const auto lead = static_cast<unsigned char>(utf8[0]);
    const std::size_t length = lead < 0xC0 ? 1 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : 4;
    if (length > utf8.size()) {
        utf8 = {};
        return 0xFFFD;
    }
    std::uint32_t c = length == 1 ? lead : lead & (0xFFu >> (length + 1));
    for (std::size_t i = 1; i < length; ++i) c = (c << 6) | (static_cast<unsigned char>(utf8[i]) & 0x3Fu);
    utf8.remove_prefix(length);
    return c;
}

}  // namespace

std::string ascii_lower(std::string_view text) {
    std::string out(text);
    for (char& c : out)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return out;
}

std::string plain_letters(std::string_view utf8) {
    std::string out;
    while (!utf8.empty()) {
        const std::uint32_t c = next_code_point(utf8);
        if (c >= 'A' && c <= 'Z')
            out += static_cast<char>(c - 'A' + 'a');
        else if (c < 0x80)
            out += static_cast<char>(c);
        else if (const char letter = letter_of(c); letter != '_')
            out += letter;
    }
    return out;
}

}  // namespace ridethrough::base
