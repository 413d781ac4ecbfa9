// Prints the digests, or compares them with a file: ridethrough_digest [expected.txt]
#include "trip/digest.hpp"

#include <fstream>
#include <iostream>
#include <sstream>

int main(int count, char** arguments) {
    const std::string found = digest::report();
    std::cout << found;
    if (count < 2) return 0;
    std::ostringstream expected;
    expected << std::ifstream(arguments[1]).rdbuf();
    if (found == expected.str()) return 0;
    std::cerr << "expected:\n" << expected.str();
    return 1;
}
