# The library for C++ programs: all layers in one archive, so that a program links one target and needs nothing of what
# the layers are built with.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

get_property(objects GLOBAL PROPERTY RIDETHROUGH_OBJECTS)
add_library(ridethrough STATIC ${objects})
add_library(ridethrough::ridethrough ALIAS ridethrough)
set_target_properties(ridethrough PROPERTIES LINKER_LANGUAGE CXX)
target_compile_features(ridethrough INTERFACE cxx_std_20)
target_link_libraries(ridethrough INTERFACE Threads::Threads)
target_include_directories(ridethrough INTERFACE $<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/cpp/include>
  $<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}>)

if(NOT PROJECT_IS_TOP_LEVEL)
  return()
endif()

# Only what ridethrough.hpp includes. The other headers hold templates whose bits depend on how they are compiled, and
# some need Eigen or pcg-cpp.
foreach(header IN ITEMS ridethrough.hpp base/text.hpp config/configuration.hpp config/day.hpp config/provenance.hpp
        stats/interval.hpp)
  cmake_path(GET header PARENT_PATH folder)
  install(FILES cpp/include/ridethrough/${header} COMPONENT library
    DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/ridethrough/${folder})
endforeach()
set(package ${CMAKE_INSTALL_LIBDIR}/cmake/ridethrough)
install(TARGETS ridethrough EXPORT ridethroughTargets ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT library)
install(EXPORT ridethroughTargets NAMESPACE ridethrough:: DESTINATION ${package} COMPONENT library)
configure_package_config_file(cpp/cmake/ridethroughConfig.cmake.in ${PROJECT_BINARY_DIR}/ridethroughConfig.cmake
  INSTALL_DESTINATION ${package})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/ridethroughConfigVersion.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/ridethroughConfig.cmake ${PROJECT_BINARY_DIR}/ridethroughConfigVersion.cmake
  DESTINATION ${package} COMPONENT library)
