// Letters in lower case, and as they sound without their marks, so that a word is found however it is written.
#pragma once

#include <string>
#include <string_view>

namespace ridethrough::base {

// "friday" for "Friday"; what is not ASCII stays as it is.
std::string ascii_lower(std::string_view text);

// A text in UTF-8 in lower case, each letter as the ASCII letter that it is without accents, width, circles or other
// dress; what is no such letter and not ASCII is left out, marks that combine with a letter too.
std::string plain_letters(std::string_view utf8);

}  // namespace ridethrough::base
